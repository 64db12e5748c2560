import type { Mission } from '../../../decoders/mission/types.ts';
import { FrameText } from '../../marks/frame-text.tsx';
import { ReadingList } from '../../marks/reading-list.tsx';
import { TrustMark } from '../../marks/trust-mark.tsx';
import { expectedText } from '../../words/expected.ts';
import { confidenceText } from '../../words/number.ts';
import { FieldTable } from './field-table.tsx';
import type { LineReading } from './read-line.ts';

interface NearestProps {
  readonly text: string;
  readonly mission: Mission;
  readonly nearest: LineReading['nearest'];
}

/** Where a line that fits no frame stopped fitting. */
function Nearest({ text, mission, nearest }: NearestProps) {
  if (nearest === null) {
    return (
      <p>
        This fits no frame of {mission.name}. Its call sign is <code>{mission.callSign}</code>.
      </p>
    );
  }
  const characters = Array.from(text);
  const fitted = characters.slice(0, nearest.at).join('');
  const rest = characters.slice(nearest.at).join('');
  return (
    <>
      <p>
        This fits no frame of {mission.name}. <strong>{nearest.frame}</strong> came nearest: it fits up to the mark,
        where {expectedText(nearest.expected)} should stand.
      </p>
      <code class="frame-text">
        {fitted}
        <mark>{rest === '' ? ' ' : rest}</mark>
      </code>
    </>
  );
}

/** What a typed line says, as it is typed. */
export function LineResult({
  text,
  mission,
  reading,
}: {
  readonly text: string;
  readonly mission: Mission;
  readonly reading: LineReading;
}) {
  return (
    <div class="line-result stack" aria-live="polite">
      {reading.frames.length === 0 && <Nearest text={text} mission={mission} nearest={reading.nearest} />}
      {reading.frames.map(({ frame, readings }, i) => (
        <article key={i} class="stack">
          <p class="provenance">
            <strong>{frame.frame}</strong>
            <span>
              <TrustMark trust={frame.trust} />, {confidenceText(frame.confidence)} sure
            </span>
            <span>
              {frame.checksum === 'pass' && 'the checksum fits'}
              {frame.checksum === 'fail' && 'the checksum does not fit: some character is wrong'}
              {frame.checksum === 'none' && 'there is no checksum to hold it against'}
            </span>
            {!frame.complete && <span>incomplete</span>}
          </p>
          <FrameText characters={frame.characters} />
          <ReadingList readings={readings} definition={mission} />
          <details>
            <summary class="small">Fields as printed</summary>
            <FieldTable fields={frame.fields} />
          </details>
        </article>
      ))}
      {reading.assumptions.length > 0 && (
        <ul class="small faint assumptions">
          {reading.assumptions.map((assumption) => (
            <li key={assumption}>{assumption}</li>
          ))}
        </ul>
      )}
    </div>
  );
}
