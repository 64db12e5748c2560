import type { Trust } from '../../decoders/frames/types.ts';
import type { Mission } from '../../decoders/mission/types.ts';
import { valueText } from '../words/number.ts';
import { StateMark } from './state-mark.tsx';
import { TrustMark } from './trust-mark.tsx';
import './reading-list.css';

/** A reading as server and page both know it. */
export interface ListedReading {
  readonly parameter: string;
  readonly value: number | string | null;
  readonly unit: string | null;
  readonly trust: Trust;
  readonly confidence: number;
  readonly limit: 'normal' | 'soft' | 'hard' | null;
  readonly notes: readonly string[];
}

function Row({ reading, definition }: { readonly reading: ListedReading; readonly definition: Mission | null }) {
  const described = definition?.parameters.find(({ id }) => id === reading.parameter);
  return (
    <>
      <span class="name">{described?.name ?? reading.parameter}</span>
      <span class="value">{valueText(reading.value, reading.unit, described?.decimals)}</span>
      <span class="marks small">
        <TrustMark trust={reading.trust} />
        {reading.limit === 'soft' && <StateMark state="look" word="outside soft limits" />}
        {reading.limit === 'hard' && <StateMark state="act" word="outside hard limits" />}
        {reading.notes.map((note) => (
          <span key={note} class="faint">
            {note}
          </span>
        ))}
      </span>
    </>
  );
}

const NONE: ReadonlySet<string> = new Set();

/** The readings of one frame, by name. With `onChoose` each can be chosen, to pick out its characters. */
export function ReadingList<R extends ListedReading>({
  readings,
  definition,
  chosen = NONE,
  onChoose,
}: {
  readonly readings: readonly R[];
  readonly definition: Mission | null;
  /** Parameters whose characters are picked out. */
  readonly chosen?: ReadonlySet<string>;
  readonly onChoose?: (reading: R) => void;
}) {
  if (readings.length === 0) return <p class="faint small">No parameter is read from this frame.</p>;
  return (
    <ul class="reading-list">
      {readings.map((reading) => (
        <li key={reading.parameter}>
          {onChoose === undefined ? (
            <div>
              <Row reading={reading} definition={definition} />
            </div>
          ) : (
            <button type="button" aria-pressed={chosen.has(reading.parameter)} onClick={() => onChoose(reading)}>
              <Row reading={reading} definition={definition} />
            </button>
          )}
        </li>
      ))}
    </ul>
  );
}
