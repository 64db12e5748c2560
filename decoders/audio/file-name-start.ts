import { LONGEST_SECONDS } from './length-limit.ts';
import { utcMilliseconds } from './moment.ts';
import type { RecordingStart } from './start-time.ts';
import { startAt } from './start-time.ts';

export const FILE_NAME = 'file name';

/** Year to day in digits, unbroken or with the same mark twice. */
const DATE = String.raw`(?<![0-9.])(?<year>20\d\d)(?<dash>[-_.]?)(?<month>\d\d)\k<dash>(?<day>\d\d)`;
/** Hours to seconds with a mark between; without a mark `T` or a zone must tell hours and minutes from a number. */
const MARKED = String.raw`(?<hour>\d\d)(?<colon>[-_.:h])(?<minute>\d\d)(?:[-_.:m](?<second>\d\d)s?)?`;
const UNMARKED = String.raw`(?<hour>\d\d)(?<minute>\d\d)(?<second>\d\d)?`;
const FRACTION = String.raw`(?:(?<=\d)[.,]?(?<fraction>\d{1,6}))?`;
const ZONE = String.raw`(?:[ _.]?(?<utc>Z|UTC|GMT)|(?<sign>[+-])(?<zoneHour>\d\d)(?::?(?<zoneMinute>\d\d))?)?`;
const END = '(?![0-9])';

const FORMS = [
  new RegExp(`${DATE}(?<between>T|[ _-]|at|[ _]at[ _])${MARKED}${FRACTION}${ZONE}${END}`, 'gi'),
  new RegExp(`${DATE}(?<between>T|[ _.-]?)${UNMARKED}${FRACTION}${ZONE}${END}`, 'gi'),
];

/** Seconds or milliseconds since 1970, where they are the whole name or something says that they are a time. */
const EPOCH =
  /(?:^|(?:^|[^a-z])(?:epoch|unix|time|timestamp|ts|t|start|started|rec|recording|capture|audio)[ _.=@-]?)(?<seconds>1\d{9}|2\d{9})(?<thousandths>\d{3})?$/i;

/** In Hz a frequency would stand in round figures; one in so many clock readings does so too. */
const ROUND = 1000;

/**
 * When a recording began, as its file's name says, in one of the forms that recorders and people write (common
 * practice): `20310504T091207Z`, `2031-05-04_09-12-07`, `20310504_091207`, `2031-05-04 09.12+0200`, `rec-1935651127`.
 * A name without a zone is taken as UTC, and says so.
 *
 * Null where there is no such time, and where it might be something else: a date without a time, a frequency, a serial
 * number, a year of two digits. Of two times the first counts: the second is where the recording ends.
 *
 * @param name with or without its folders and extension.
 */
export function startFromFileName(name: string): RecordingStart | null {
  const stem = stemOf(name);
  return datesInName(stem)[0]?.time ?? epochInName(stem);
}

/** What may stand between two times that are start and end. */
const UNTIL = /^(?:[-_. ~]{1,3}|[-_. ]?(?:to|until)[-_. ]?)$/i;

/**
 * How long a recording lasted by the clock, where its file's name says when it began and when it ended, one right behind the
 * other (`20310504_091200-20310504_093000`); null else.
 *
 * @returns seconds.
 */
export function lengthFromFileName(name: string): number | null {
  const stem = stemOf(name);
  const [first, second] = datesInName(stem);
  if (second === undefined || !UNTIL.test(stem.slice(first.to, second.from))) return null;
  // Two clocks, as local time and UTC, are one moment.
  if (first.time.zoneStated !== second.time.zoneStated) return null;
  const seconds = (Date.parse(second.time.iso) - Date.parse(first.time.iso)) / 1000;
  return seconds > 0 && seconds <= LONGEST_SECONDS ? seconds : null;
}

const stemOf = (name: string): string =>
  (name.split(/[/\\]/).at(-1) ?? '').replace(/(?:\.[a-z][a-z0-9-]{0,9}){1,2}$/i, '');

interface NamedTime {
  readonly from: number;
  readonly to: number;
  readonly time: RecordingStart;
}

function datesInName(stem: string): NamedTime[] {
  const found = FORMS.flatMap((form) =>
    [...stem.matchAll(form)].flatMap((match) => {
      const time = startOf(match.groups ?? {});
      return time === null ? [] : [{ from: match.index, to: match.index + match[0].length, time }];
    }),
  );
  return found.sort((a, b) => a.from - b.from);
}

function startOf(parts: Readonly<Record<string, string | undefined>>): RecordingStart | null {
  const { year, dash, month, day, between = '', hour, colon, minute, second, fraction = '' } = parts;
  const saysTime = /t/i.test(between);
  if (second === undefined && (fraction !== '' || (colon === undefined && !saysTime && parts.utc === undefined))) {
    return null;
  }
  // Twelve or fourteen digits in a row, of which a part was marked, are no time.
  if (colon === undefined && between === '' && dash !== '') return null;
  const offset = offsetOf(parts, saysTime);
  if (offset === null) return null;
  const clock = `${hour}:${minute}:${second ?? '00'}.${fraction.slice(0, 3).padEnd(3, '0')}`;
  const milliseconds = utcMilliseconds(`${year}-${month}-${day}T${clock}${offset}`);
  if (milliseconds === null || Number(hour) > 23) return null;
  const zoneStated = parts.utc !== undefined || parts.sign !== undefined;
  return startAt(milliseconds, FILE_NAME, zoneStated, second === undefined ? 60 : 1);
}

/** `Z` or an offset; null for what stands in the place of an offset and cannot be one. */
function offsetOf(parts: Readonly<Record<string, string | undefined>>, saysTime: boolean): string | null {
  const { sign, zoneHour, zoneMinute = '00' } = parts;
  if (sign === undefined) return 'Z';
  // A hyphen also stands before numbers of other kinds.
  if (sign === '-' && !saysTime) return null;
  const most = sign === '-' ? 12 : 14;
  if (Number(zoneHour) > most || !['00', '15', '30', '45'].includes(zoneMinute)) return null;
  return `${sign}${zoneHour}:${zoneMinute}`;
}

function epochInName(stem: string): RecordingStart | null {
  const { seconds, thousandths } = EPOCH.exec(stem)?.groups ?? {};
  if (seconds === undefined || (thousandths === undefined && Number(seconds) % ROUND === 0)) return null;
  const milliseconds = 1000 * Number(seconds) + Number(thousandths ?? 0);
  return startAt(milliseconds, FILE_NAME, true, 1);
}
