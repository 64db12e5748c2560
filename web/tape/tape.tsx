import { useWidth } from '../shell/use-width.ts';
import { confidenceText } from '../words/number.ts';
import { positionText } from '../words/time.ts';
import type { TapeColumn } from './columns.ts';
import { feedPath, holesPath, PAPER_HEIGHT, type PlacedColumn, STRIP_HEIGHT, strips, stripWidth } from './geometry.ts';
import './tape.css';

/** Below these, a character is printed fainter. */
const SURE = 0.95;
const LIKELY = 0.5;

const inkClass = (confidence: number): string =>
  confidence >= SURE ? 'sure' : confidence >= LIKELY ? 'unsure' : 'doubtful';

/** A column in words. */
export function describe({ text, confidence, startSeconds }: TapeColumn): string {
  const what = text === '' ? 'shift, line end or blank' : text === ' ' ? 'space' : text;
  return `${what}, ${confidenceText(confidence)}, at ${positionText(startSeconds)}`;
}

interface StripProps {
  readonly strip: readonly PlacedColumn[];
  readonly picked: ReadonlySet<number>;
  readonly width?: number;
}

/** Some columns of tape in a row. */
export function Strip({ strip, picked, width = stripWidth(strip) }: StripProps) {
  const pickedColumns = strip.filter(({ column }) => picked.has(column.slot));
  return (
    <svg width={width} height={STRIP_HEIGHT} viewBox={`0 0 ${width} ${STRIP_HEIGHT}`} aria-hidden="true">
      <rect class="paper" x="0.5" y="0.5" width={width - 1} height={PAPER_HEIGHT - 1} rx="1" />
      {pickedColumns.map(({ column, x, width: w }) => (
        <rect key={column.slot} class="picked" x={x} y="1" width={w} height={STRIP_HEIGHT - 2} />
      ))}
      <path class="feed" d={feedPath(strip)} />
      <path class="holes" d={holesPath(strip)} />
      {strip.map(({ column, x, width: w }) => (
        <g key={column.slot} class={inkClass(column.confidence)}>
          {column.text.trim() !== '' && (
            <text x={x + w / 2} y={PAPER_HEIGHT + 15}>
              {column.text}
            </text>
          )}
          <rect class="hit" x={x} y="0" width={w} height={STRIP_HEIGHT}>
            <title>{describe(column)}</title>
          </rect>
        </g>
      ))}
    </svg>
  );
}

interface TapeProps {
  readonly columns: readonly TapeColumn[];
  /** What a screen reader says of it; the text itself as a rule. */
  readonly label: string;
  /** Slots to be picked out. */
  readonly picked?: ReadonlySet<number>;
}

const NONE: ReadonlySet<number> = new Set();

/**
 * What was heard, as five-hole paper tape: a hole's size is the likelihood of mark, the character stands under its
 * column, faint when unsure. Long tapes are cut into strips.
 */
export function Tape({ columns, label, picked = NONE }: TapeProps) {
  const { ref, width } = useWidth();
  return (
    <div class="tape" ref={ref} role="img" aria-label={label}>
      {strips(columns, width).map((strip) => (
        <Strip key={strip[0]?.column.slot} strip={strip} picked={picked} />
      ))}
    </div>
  );
}
