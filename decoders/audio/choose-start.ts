import { lengthFromFileName, startFromFileName } from './file-name-start.ts';
import { type RecordingStart, SENDER, startFromContainer, ZONE_UNKNOWN_SECONDS } from './start-time.ts';
import type { AudioInfo, AudioProblem } from './types.ts';

/** What can be said of when a recording began, surest first: who sent it knows best, a name is the easiest to change. */
export interface StatedStarts {
  readonly declared: RecordingStart | null;
  readonly container: RecordingStart | null;
  readonly fileName: RecordingStart | null;
  /** How long it lasted by the clock, as its file's name says. */
  readonly namedSeconds?: number | null;
}

/**
 * All that is said of when a recording began.
 *
 * @param info null where its container could not be read.
 * @param fileName null where it has none.
 */
export function statedStarts(
  declared: RecordingStart | null,
  info: AudioInfo | null,
  fileName: string | null,
): StatedStarts {
  return {
    declared,
    container: info === null ? null : startFromContainer(info),
    fileName: fileName === null ? null : startFromFileName(fileName),
    namedSeconds: fileName === null ? null : lengthFromFileName(fileName),
  };
}

/** What is known of the recording beside. */
export interface StartBounds {
  readonly seconds: number;
  /** When it was there to be sent, ISO 8601 UTC: no recording ends later. Null where no clock is trusted with that. */
  readonly existedAt: string | null;
  /** Nothing was received earlier, ISO 8601 UTC; null when nothing is known. */
  readonly notBefore: string | null;
}

export interface ChosenStart {
  /** Null when nobody says it, or what is said cannot be. */
  readonly start: RecordingStart | null;
  /** `time-impossible`, `times-disagree`, `time-zone-assumed`, `time-gaps` where time must be missing in it. */
  readonly problems: readonly AudioProblem[];
}

/** Digital recordings of satellites are not older. */
const EARLIEST = '2000-01-01T00:00:00.000Z';
/** Clocks of sender and server may differ by so much. */
const CLOCKS_SECONDS = 300;
/** Some programs name a file when it begins, some when they have opened it. */
const AGREE_SECONDS = 60;
/** Zones differ by whole quarters of an hour. */
const ZONE_STEP_SECONDS = 900;

/**
 * Chooses when a recording began: the first statement that can be right. What cannot be, and what contradicts the chosen
 * one, is reported.
 */
export function chooseStart(stated: StatedStarts, bounds: StartBounds): ChosenStart {
  const problems: AudioProblem[] = missingTime(stated.namedSeconds ?? null, bounds.seconds);
  const possible: RecordingStart[] = [];
  for (const start of [stated.declared, stated.container, stated.fileName]) {
    if (start === null) continue;
    const reason = whyImpossible(start.iso, bounds);
    if (reason === null) possible.push(start);
    else {
      const zone = start.zoneStated ? '' : ', taken as UTC for want of a zone';
      report(
        problems,
        'time-impossible',
        `${saidBy(start)} it began at ${start.iso}${zone}: ${reason}. Give its time.`,
      );
    }
  }
  const [start = null, ...others] = possible;
  if (start === null) return { start, problems };
  for (const other of others) {
    if (agree(start, other)) continue;
    const taken = `${saidBy(start)} it began at ${start.iso}, which was taken`;
    report(problems, 'times-disagree', `${taken}; ${saidBy(other).toLowerCase()} ${other.iso}.`);
  }
  if (!start.zoneStated) {
    report(problems, 'time-zone-assumed', `The ${start.source} names no time zone; UTC was taken.`);
  }
  return { start, problems };
}

/** Names are given when a recorder has begun and has stopped, and both take their time. */
const NAMING_SHARE = 0.02;

function missingTime(namedSeconds: number | null, seconds: number): AudioProblem[] {
  if (namedSeconds === null || seconds === 0) return [];
  const missing = namedSeconds - seconds;
  if (missing <= AGREE_SECONDS + NAMING_SHARE * namedSeconds) return [];
  const message =
    `By its file's name it lasted ${Math.round(namedSeconds)} s and it holds ${Math.round(seconds)} s: the recorder left out ` +
    `${Math.round(missing)} s somewhere. Times in it are uncertain.`;
  return [{ code: 'time-gaps', message, atSeconds: null }];
}

/** Why a recording cannot have begun then, in words that end a sentence; null when it can. */
export function whyImpossible(iso: string, { seconds, existedAt, notBefore }: StartBounds): string | null {
  const start = Date.parse(iso);
  const latest = existedAt === null ? Number.POSITIVE_INFINITY : Date.parse(existedAt) + 1000 * CLOCKS_SECONDS;
  if (start > latest) return `that is after it was sent, at ${existedAt}`;
  if (start + 1000 * seconds > latest) {
    return `it lasts ${Math.round(seconds)} s and would end after it was sent, at ${existedAt}`;
  }
  if (start < Date.parse(EARLIEST)) return `that is before ${EARLIEST.slice(0, 4)}`;
  if (notBefore !== null && start + 1000 * seconds < Date.parse(notBefore)) {
    return `that is before the satellite could be heard, from ${notBefore}`;
  }
  return null;
}

function agree(a: RecordingStart, b: RecordingStart): boolean {
  const apart = Math.abs(Date.parse(a.iso) - Date.parse(b.iso)) / 1000;
  const zoned = a.zoneStated && b.zoneStated;
  const allowed =
    AGREE_SECONDS + Math.max(...[a, b].map((each) => (each.zoneStated ? (each.uncertaintySeconds ?? 0) : 0)));
  if (apart <= allowed) return true;
  if (zoned || apart > ZONE_UNKNOWN_SECONDS + allowed) return false;
  const fromStep = apart % ZONE_STEP_SECONDS;
  return Math.min(fromStep, ZONE_STEP_SECONDS - fromStep) <= allowed;
}

function saidBy({ source }: RecordingStart): string {
  return source === SENDER ? 'The sender says' : `The ${source} says`;
}

function report(problems: AudioProblem[], code: string, message: string): void {
  problems.push({ code, message, atSeconds: null });
}
