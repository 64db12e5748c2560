import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import type { RecordingBurst } from '../../../server/http/messages.ts';
import { tapeColumns } from '../../tape/columns.ts';
import { Tape } from '../../tape/tape.tsx';
import { ebN0Text, numberText } from '../../words/number.ts';
import { parseTime, positionText, utcText } from '../../words/time.ts';
import { BurstFrameView } from './burst-frame-view.tsx';

const NONE: ReadonlySet<number> = new Set();

/** One burst: what was measured of it, its tape, the frames found in it. */
export function BurstView({
  burst,
  startedAt,
  frame,
}: {
  readonly burst: RecordingBurst;
  readonly startedAt: string | null;
  /** Frame that the address asks for. */
  readonly frame: string | null;
}) {
  const [picked, setPicked] = useState(NONE);
  const here = useRef<HTMLElement>(null);
  const asked = burst.frames.find(({ id }) => id === frame);
  const columns = useMemo(() => tapeColumns(burst.slots, burst.characters), [burst]);
  const startMs = parseTime(startedAt);

  // once, when the address names a frame of this burst
  useEffect(() => {
    if (asked === undefined) return;
    here.current?.scrollIntoView();
    setPicked(new Set(asked.characters.map(({ slot }) => slot)));
  }, [asked?.id]);

  return (
    <section class="burst stack" ref={here}>
      <header>
        <h2>
          Burst {burst.index + 1}
          <span class="faint">
            {' '}
            at {positionText(burst.startSeconds)}
            {startMs !== null && `, ${utcText(startMs + 1000 * burst.startSeconds)}`}
          </span>
        </h2>
        <p class="small faint measures">
          <span>{(burst.endSeconds - burst.startSeconds).toFixed(1)} s</span>
          <span>{burst.baud.toFixed(2)} Bd</span>
          <span>mark {burst.markHz.toFixed(0)} Hz</span>
          <span>space {burst.spaceHz.toFixed(0)} Hz</span>
          <span>{burst.stopElements} stop elements</span>
          {Math.abs(burst.driftHzPerSecond) >= 0.5 && <span>drift {numberText(burst.driftHzPerSecond, 1)} Hz/s</span>}
          <span>{ebN0Text(burst.ebN0Db)}</span>
        </p>
      </header>
      {columns.length > 0 && <Tape columns={columns} label={`Tape: ${burst.text}`} picked={picked} />}
      {burst.alternativeText !== null && (
        <p class="small">
          Nothing decides whether a space returns to letters here. Read the other way:{' '}
          <code>{burst.alternativeText}</code>
        </p>
      )}
      {burst.withheld && (
        <p class="small faint">
          Text that fits no layout is shown to its sender and the mission’s team only
          {columns.length === 0 ? '; nothing in this burst did.' : '.'}
        </p>
      )}
      {!burst.withheld && burst.frames.length === 0 && (
        <p class="small faint">No frame of the mission was found in this text.</p>
      )}
      {burst.frames.map((one) => (
        <BurstFrameView key={one.id} frame={one} onPick={(slots) => setPicked(slots)} />
      ))}
    </section>
  );
}
