import { isPractice } from '../../../decoders/mission/practice.ts';
import type { Mission } from '../../../decoders/mission/types.ts';
import { FrameText } from '../../marks/frame-text.tsx';
import { ReadingList } from '../../marks/reading-list.tsx';
import { TrustMark } from '../../marks/trust-mark.tsx';
import { Tape } from '../../tape/tape.tsx';
import { confidenceText, ebN0Text } from '../../words/number.ts';
import { clockSecondsText } from '../../words/time.ts';
import type { Hearing } from './hearings.ts';

/** One burst as it is being heard, or as it was read when all of it had come. */
export function HearingView({
  hearing,
  missions,
}: {
  readonly hearing: Hearing;
  readonly missions: readonly Mission[];
}) {
  const { provisional, over, columns, text, frames, startMs, endMs, baud, markHz, spaceHz, ebN0Db } = hearing;
  return (
    // a guess changes with every character: only what is settled is read out
    <section
      class={provisional ? 'hearing provisional stack' : 'hearing stack'}
      aria-live={provisional ? 'off' : undefined}
    >
      <p class="provenance small">
        <strong>{clockSecondsText(startMs)} UTC</strong>
        <span>{((endMs - startMs) / 1000).toFixed(1)} s</span>
        <span>{baud.toFixed(2)} Bd</span>
        <span>mark {markHz.toFixed(0)} Hz</span>
        <span>space {spaceHz.toFixed(0)} Hz</span>
        {ebN0Db !== null && <span>{ebN0Text(ebN0Db)}</span>}
        <span class="standing">{provisional ? (over ? 'provisional, being settled' : 'provisional') : 'settled'}</span>
      </p>
      {columns.length > 0 && <Tape columns={columns} label={`Tape: ${text}`} />}
      {frames.map(({ mission, frame, readings }) => (
        <article key={`${frame.startSeconds}`} class="heard-frame stack">
          <p class="provenance">
            <strong>{frame.frame}</strong>
            <span>{missions.find(({ id }) => id === mission)?.name ?? mission}</span>
            <span>
              {provisional ? 'provisional, ' : ''}
              <TrustMark trust={frame.trust} />, {confidenceText(frame.confidence)} sure
            </span>
            {!frame.complete && <span>incomplete</span>}
            {isPractice(frame.text) && <strong>rehearsal: sent for practice</strong>}
          </p>
          <FrameText characters={frame.characters} />
          <ReadingList readings={readings} definition={missions.find(({ id }) => id === mission) ?? null} />
        </article>
      ))}
      {!provisional && frames.length === 0 && missions.length > 0 && (
        <p class="small faint">No frame of a known mission was found in this text.</p>
      )}
    </section>
  );
}
