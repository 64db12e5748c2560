import { InvalidArgumentError, Option } from 'commander';
import { chooseStart, statedStarts } from '../../decoders/audio/choose-start.ts';
import { correctStarts, offsetSeconds, zoneMinutes } from '../../decoders/audio/correct-starts.ts';
import { RecordingReader } from '../../decoders/audio/open.ts';
import type { RecordingStart } from '../../decoders/audio/start-time.ts';
import { uncertaintyAt } from '../../decoders/audio/time-gaps.ts';
import type { AudioInfo, AudioProblem } from '../../decoders/audio/types.ts';
import { FiveunitError } from '../../decoders/errors.ts';
import type { Received } from './records.ts';

/** What the user says of the clocks of recordings. */
export interface StartOptions {
  readonly start?: string;
  readonly zone?: number;
  readonly offset: number;
}

export function zoneOption(): Option {
  return new Option('--zone <zone>', 'zone of the times that name none: Z, +02:00, -0500').argParser(parseZone);
}

export function offsetOption(): Option {
  return new Option('--offset <time>', 'added to every time, as the recorder was slow: 90, -1.5, +2h, -30min')
    .argParser(parseOffset)
    .default(0);
}

export function timeBaseOption(): Option {
  const words = 'gaps: the recorder skips silence, or files were joined';
  return new Option('--time-base <kind>', words).choices(['continuous', 'gaps']);
}

/** The source of a time that was typed with the command. */
export const COMMAND_LINE = 'command line';
/** A time that was typed is meant to the second. */
const TYPED_SECONDS = 1;
/** This computer's clock may be so wrong. */
const CLOCK_SECONDS = 300;

export interface FoundStart {
  readonly start: RecordingStart | null;
  /** What is to be said of it. */
  readonly problems: readonly AudioProblem[];
}

/**
 * When a recording began: what the user says, else what it says itself, else what its name says, with the zone and the
 * offset that the user gives. A time ahead of this computer's clock is kept, as either may be wrong, and reported.
 *
 * @param info null where its container could not be read.
 * @param fileName null where it has none.
 */
export function findStart(
  { start: typed, zone, offset }: StartOptions,
  { info, fileName, seconds }: { info: AudioInfo | null; fileName: string | null; seconds: number },
  now: number,
): FoundStart {
  const declared =
    typed === undefined
      ? null
      : { iso: typed, source: COMMAND_LINE, uncertaintySeconds: TYPED_SECONDS, zoneStated: true };
  const stated = statedStarts(declared, info, fileName);
  const chosen = chooseStart(stated, { seconds, existedAt: null, notBefore: null });
  const corrections = { firstStart: null, zoneMinutes: zone ?? null, offsetSeconds: offset };
  const [{ start }] = correctStarts([chosen.start], corrections);
  const problems = chosen.problems.filter(({ code }) => code !== 'time-zone-assumed' || start?.zoneStated === false);
  if (start !== null && Date.parse(start.iso) + 1000 * seconds > now + 1000 * CLOCK_SECONDS) {
    const message = `It would end later than it is by this computer's clock (began ${start.iso}): one of the two is wrong.`;
    problems.push({ code: 'time-ahead', message, atSeconds: null });
  }
  return { start, problems };
}

/** What a recording's first bytes say of it; null where they do not suffice. */
export function infoInFirst(first: Uint8Array): AudioInfo | null {
  const reader = new RecordingReader();
  try {
    reader.push(first, () => {});
  } catch (error) {
    // What is wrong with it is for its decoding to say.
    if (!(error instanceof FiveunitError)) throw error;
  }
  return reader.info;
}

/** When something was received that stands so many seconds behind the start of a recording; null when nobody says it. */
export function receivedAt(
  start: RecordingStart | null,
  seconds: number,
  { sureSeconds, existedAt }: { readonly sureSeconds: number; readonly existedAt: number },
): Received | null {
  if (start === null) return null;
  const startedAt = Date.parse(start.iso);
  const { source, uncertaintySeconds } = start;
  const times = { startedAt, uncertaintySeconds, sureSeconds, existedAt };
  return {
    at: new Date(startedAt + Math.round(1000 * seconds)).toISOString(),
    source,
    uncertaintySeconds: uncertaintyAt(times, seconds),
  };
}

/** @throws InvalidArgumentError for what is no zone. */
function parseZone(text: string): number {
  const minutes = zoneMinutes(text);
  if (minutes === null) throw new InvalidArgumentError('A zone is written as Z, +02:00 or -0500.');
  return minutes;
}

/** @throws InvalidArgumentError for what is no offset. */
function parseOffset(text: string): number {
  const seconds = offsetSeconds(text);
  if (seconds === null) throw new InvalidArgumentError('An offset is written as 90, -1.5, +2h or -30min.');
  return seconds;
}
