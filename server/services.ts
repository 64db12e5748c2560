import type { DecodeRunner } from './jobs/decode-runner.ts';
import type { KeyedLock } from './keyed-lock.ts';
import type { TeamKey } from './keys/team-key.ts';
import type { Limits } from './limits.ts';
import type { Catalog } from './missions/catalog.ts';
import type { SoundCutter } from './sound/cutter.ts';
import type { RecordingFiles } from './store/files.ts';
import type { ListeningCopies } from './store/listening-copies.ts';
import type { Store } from './store/store.ts';
import type { Clock } from './time.ts';
import type { Combiner } from './transmissions/combiner.ts';

/** What the parts of the server share. */
export interface Services {
  readonly store: Store;
  readonly files: RecordingFiles;
  readonly copies: ListeningCopies;
  readonly catalog: Catalog;
  readonly decoding: DecodeRunner;
  readonly combiner: Combiner;
  readonly cutter: SoundCutter;
  readonly teamKey: TeamKey;
  readonly limits: Limits;
  readonly clock: Clock;
  /** One change at a time of each recording: keys are `recordingLock(id)` and SHA-256 sums. */
  readonly locks: KeyedLock;
  /** Reports what should not have happened; the server goes on. */
  readonly complain: (error: unknown, doing: string) => void;
}
