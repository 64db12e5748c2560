import type { Now } from '../../../server/http/messages.ts';
import { Age } from '../../marks/moment.tsx';
import { Empty } from '../../shell/notices.tsx';
import type { Range } from './view.ts';

const DAY_MS = 86_400_000;

/** Said when the chosen stretch holds no reading, with the way to the nearest that does. */
export function SilentRange({
  lastHeard,
  onRange,
}: {
  readonly lastHeard: NonNullable<Now['lastHeard']>;
  readonly onRange: (range: Range) => void;
}) {
  const lastMs = Date.parse(lastHeard.receivedAt);
  return (
    <Empty title="Nothing was heard in this time">
      <p>
        The last frame came <Age at={lastHeard.receivedAt} />.
      </p>
      <button type="button" onClick={() => onRange({ fromMs: lastMs - 0.9 * DAY_MS, toMs: lastMs + 0.1 * DAY_MS })}>
        Go to that day
      </button>
    </Empty>
  );
}
