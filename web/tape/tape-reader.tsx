import { type ReadonlySignal, useComputed } from '@preact/signals';
import { useEffect, useMemo, useRef } from 'preact/hooks';
import { confidenceText } from '../words/number.ts';
import { columnAt, type TapeColumn } from './columns.ts';
import { PAPER_HEIGHT, pieces, pieceWidth } from './geometry.ts';
import { describe, Strip } from './tape.tsx';

/** Columns of one drawing: a wider one might be more than a browser can paint at once. */
const PIECE_COLUMNS = 48;
/** Room before the column that is read when the tape has been moved to it, and around it when it need not be, in pixels. */
const SCROLL_ROOM = 60;
const LEAST_ROOM = 4;

/** No element is certain, though its likelihood may round to one. */
const SUREST = 0.9999;

/** The five data elements of a column in words, as their holes show them. */
function elementsText({ mark }: TapeColumn): string {
  const text = (p: number): string => confidenceText(Math.min(p, SUREST));
  return mark.map((p) => (p >= 0.5 ? `mark ${text(p)}` : `space ${text(1 - p)}`)).join(', ');
}

/**
 * A tape that is read along: uncut, it scrolls; the column at a place is outlined and told in words; a column is chosen with
 * the pointer or, from left to right, by keys.
 */
export function TapeReader({
  columns,
  label,
  picked,
  place,
  plays,
  onChoose,
  onPlay,
}: {
  readonly columns: readonly TapeColumn[];
  /** What a screen reader says of it; the text itself as a rule. */
  readonly label: string;
  readonly picked: ReadonlySet<number>;
  /** Seconds from the start of the recording. */
  readonly place: ReadonlySignal<number>;
  readonly plays: ReadonlySignal<boolean>;
  readonly onChoose: (column: TapeColumn) => void;
  readonly onPlay: () => void;
}) {
  const tape = useRef<HTMLDivElement>(null);
  const cut = useMemo(() => {
    let x = 0;
    return pieces(columns, PIECE_COLUMNS).map((piece, i, all) => {
      const width = pieceWidth(piece, i === all.length - 1);
      const placed = { piece, x, width };
      x += width;
      return placed;
    });
  }, [columns]);
  const placed = useMemo(() => cut.flatMap(({ piece, x }) => piece.map((one) => ({ ...one, x: x + one.x }))), [cut]);
  const current = useComputed(() => columnAt(columns, place.value)).value;
  const here = current === undefined ? undefined : placed[current];

  // reading along draws nothing of the tape anew
  const drawn = useMemo(
    () =>
      cut.map(({ piece, x, width }) => (
        <div key={x} style={{ width: `${width}px` }}>
          <Strip strip={piece} picked={picked} width={width} />
        </div>
      )),
    [cut, picked],
  );

  useEffect(() => {
    const element = tape.current;
    if (element === null || here === undefined) return;
    const { scrollLeft, clientWidth } = element;
    const isInSight = here.x >= scrollLeft + LEAST_ROOM && here.x + here.width <= scrollLeft + clientWidth - LEAST_ROOM;
    if (!isInSight) element.scrollLeft = here.x - SCROLL_ROOM;
  }, [here]);

  const choose = (index: number): void => {
    const column = columns[Math.min(Math.max(index, 0), columns.length - 1)];
    if (column !== undefined) onChoose(column);
  };
  const onKeyDown = (event: KeyboardEvent): void => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const at = current ?? -1;
    const actions: Readonly<Record<string, () => void>> = {
      ' ': onPlay,
      ArrowLeft: () => choose(at - 1),
      ArrowRight: () => choose(at + 1),
      PageUp: () => choose(at - 10),
      PageDown: () => choose(at + 10),
      Home: () => choose(0),
      End: () => choose(columns.length - 1),
    };
    const action = actions[event.key];
    if (action === undefined) return;
    event.preventDefault();
    action();
  };
  const onClick = (event: MouseEvent): void => {
    const element = tape.current;
    if (element === null) return;
    const x = event.clientX - element.getBoundingClientRect().left + element.scrollLeft;
    const index = placed.findIndex((one) => x >= one.x && x < one.x + one.width);
    if (index >= 0) choose(index);
  };

  return (
    <div class="tape-reader">
      <div
        class="tape uncut"
        ref={tape}
        role="application"
        // biome-ignore lint/a11y/noNoninteractiveTabindex: it takes keys, as its role says
        tabIndex={0}
        aria-label="Characters on the tape. Left and right choose one, space plays."
        onKeyDown={onKeyDown}
        onClick={onClick}
      >
        <div class="pieces" role="img" aria-label={label}>
          {drawn}
        </div>
        {here !== undefined && (
          <div
            class="current"
            style={{ transform: `translateX(${here.x}px)`, width: `${here.width}px`, height: `${PAPER_HEIGHT}px` }}
          />
        )}
      </div>
      <p class="small told" aria-live={plays.value ? 'off' : 'polite'}>
        {here === undefined ? (
          <span class="faint">Choose a character on the tape to see how sure each of its elements is.</span>
        ) : (
          <>
            <strong>{describe(here.column)}</strong> <span class="faint">Elements: {elementsText(here.column)}.</span>
          </>
        )}
      </p>
    </div>
  );
}
