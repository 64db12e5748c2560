import { whyImpossible } from '../../../decoders/audio/choose-start.ts';
import { type Corrections, correctStarts } from '../../../decoders/audio/correct-starts.ts';
import type { RecordingStart } from '../../../decoders/audio/start-time.ts';
import { FiveunitError } from '../../../decoders/errors.ts';
import { complain, type Io } from '../io.ts';
import type { KnownRecording, SendFields } from './server-client.ts';
import { type Surveyed, survey } from './survey.ts';

/** A recording that may be sent, and what its sender says of it. */
export interface Planned {
  readonly file: Surveyed;
  readonly start: RecordingStart | null;
  /** What goes along beside the bytes. */
  readonly fields: Pick<SendFields, 'startedAt' | 'timeAccuracySeconds'>;
  /** An earlier file of the same bytes. */
  readonly sameAs: string | null;
  /** What the server has of it already. */
  readonly known: KnownRecording | null;
}

/** A file that cannot be sent at all. */
export interface Unfit {
  readonly path: string;
  readonly code: string;
  readonly message: string;
}

export interface Plan {
  readonly planned: readonly Planned[];
  readonly unfit: readonly Unfit[];
}

/**
 * Looks at files before any is sent: their bytes, their times, what is a copy, what the server has.
 *
 * @param lookUp asks the server for the recording of a SHA-256.
 */
export async function planSending(
  paths: readonly string[],
  corrections: Corrections,
  lookUp: (sha256: string) => Promise<KnownRecording | null>,
  io: Io,
  now: number,
): Promise<Plan> {
  const files: Surveyed[] = [];
  const unfit: Unfit[] = [];
  for (const path of paths) {
    try {
      files.push(await survey(path, io, now));
    } catch (error) {
      if (!(error instanceof FiveunitError)) throw error;
      unfit.push({ path, code: error.code, message: error.message });
      complain(io, error.message);
    }
  }
  const starts = correctStarts(
    files.map(({ start }) => start),
    corrections,
  );
  const planned: Planned[] = [];
  for (const [i, file] of files.entries()) {
    const { start, corrected } = starts[i];
    const existedAt = new Date(now).toISOString();
    const reason =
      start === null ? null : whyImpossible(start.iso, { seconds: file.seconds ?? 0, existedAt, notBefore: null });
    if (reason !== null) {
      const message = `${file.path}: it cannot have begun at ${start?.iso}: ${reason}`;
      unfit.push({ path: file.path, code: 'time-impossible', message });
      complain(io, message);
      continue;
    }
    const first = planned.find((earlier) => earlier.file.sha256 === file.sha256);
    planned.push({
      file,
      start,
      fields: corrected && start !== null ? fieldsOf(start) : {},
      sameAs: first?.file.path ?? null,
      known: first === undefined ? await lookUp(file.sha256) : null,
    });
  }
  return { planned, unfit };
}

function fieldsOf({ iso, uncertaintySeconds }: RecordingStart): Planned['fields'] {
  return { startedAt: iso, ...(uncertaintySeconds === null ? {} : { timeAccuracySeconds: uncertaintySeconds }) };
}
