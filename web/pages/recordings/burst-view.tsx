import { signal, useSignal } from '@preact/signals';
import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import { HEARD_MIDDLE_HZ, heardTones } from '../../../decoders/iq/heard-tones.ts';
import type { RecordingBurst } from '../../../server/http/messages.ts';
import { SoundPlayer } from '../../sound/player.ts';
import { SoundPanel } from '../../sound/sound-panel.tsx';
import { burstSound } from '../../sound/source.ts';
import { stretchesOf, tapeColumns } from '../../tape/columns.ts';
import { TapeReader } from '../../tape/tape-reader.tsx';
import { tonesText } from '../../words/band.ts';
import { ebN0Text, numberText } from '../../words/number.ts';
import { parseTime, positionText, utcText } from '../../words/time.ts';
import { BurstFrameView } from './burst-frame-view.tsx';
import { CarrierView } from './carrier-view.tsx';
import { type Choice, frameChoice, NOTHING, slotChoice } from './choice.ts';

const AT_REST = signal(false);

/** What the sound of a burst from a complex band is. */
const HEARD = {
  fm: 'What an FM receiver that follows the carrier makes of it.',
  fsk: `The band around both tones, moved so that their middle is heard at ${HEARD_MIDDLE_HZ} Hz; the drift is taken out.`,
} as const;

/** One burst: what was measured of it, its sound and its tape side by side, the frames found in it. */
export function BurstView({
  recording,
  burst,
  startedAt,
  frame,
}: {
  readonly recording: string;
  readonly burst: RecordingBurst;
  readonly startedAt: string | null;
  /** Frame that the address asks for. */
  readonly frame: string | null;
}) {
  const [choice, setChoice] = useState(NOTHING);
  const here = useRef<HTMLElement>(null);
  const asked = burst.frames.find(({ id }) => id === frame);
  const columns = useMemo(() => tapeColumns(burst.slots, burst.characters), [burst]);
  const startMs = parseTime(startedAt);
  // What was cut out of a band by its sender is sound by now.
  const demodulated = burst.carrier?.source === 'recording' ? burst.carrier.modulation : null;
  const { index, audible } = burst;
  const player = useMemo(
    () => (audible === null ? null : new SoundPlayer(burstSound(recording, index, audible))),
    [recording, index, audible?.startSeconds, audible?.endSeconds],
  );

  // of a burst that may not be heard the tape can still be read along
  const readPlace = useSignal(Number.NEGATIVE_INFINITY);

  /** Picks something out, and goes to where it was sent. */
  const choose = (chosen: Choice, seconds?: number): void => {
    setChoice(chosen);
    const first = seconds ?? columns.find(({ slot }) => chosen.slots.has(slot))?.startSeconds;
    if (first === undefined) return;
    if (player === null) readPlace.value = first;
    else player.seek(first);
  };

  // once, when the address names a frame of this burst
  useEffect(() => {
    if (asked === undefined) return;
    here.current?.scrollIntoView();
    choose(frameChoice(asked));
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
          <span>{tonesText(burst)}</span>
          <span>{burst.stopElements} stop elements</span>
          {Math.abs(burst.driftHzPerSecond) >= 0.5 && <span>drift {numberText(burst.driftHzPerSecond, 1)} Hz/s</span>}
          <span>{ebN0Text(burst.ebN0Db)}</span>
        </p>
      </header>
      {burst.carrier !== null && <CarrierView carrier={burst.carrier} />}
      {player !== null && (
        <SoundPanel
          name={`Burst ${index + 1}`}
          player={player}
          bursts={[demodulated === null ? burst : { ...burst, ...heardTones(burst, demodulated) }]}
          picked={stretchesOf(columns, choice.slots, burst.endSeconds)}
        />
      )}
      {player !== null && demodulated !== null && <p class="small faint">{HEARD[demodulated]}</p>}
      {columns.length > 0 && (
        <TapeReader
          columns={columns}
          label={`Tape: ${burst.text}`}
          picked={choice.slots}
          place={player?.place ?? readPlace}
          plays={player?.plays ?? AT_REST}
          onChoose={(column) => choose(slotChoice(burst.frames, column.slot), column.startSeconds)}
          onPlay={() => player?.toggle()}
        />
      )}
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
        <BurstFrameView key={one.id} frame={one} choice={choice} onChoose={choose} />
      ))}
    </section>
  );
}
