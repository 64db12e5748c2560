const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];

const two = (n: number): string => String(n).padStart(2, '0');

/** `09:14`, UTC. */
export function clockText(ms: number): string {
  const t = new Date(ms);
  return `${two(t.getUTCHours())}:${two(t.getUTCMinutes())}`;
}

/** `09:14:05`, UTC. */
export function clockSecondsText(ms: number): string {
  return `${clockText(ms)}:${two(new Date(ms).getUTCSeconds())}`;
}

/** `25 Nov`, UTC. */
export function dayText(ms: number): string {
  const t = new Date(ms);
  return `${t.getUTCDate()} ${MONTHS[t.getUTCMonth()]}`;
}

/** `Nov 2026`, UTC. */
export function monthText(ms: number): string {
  const t = new Date(ms);
  return `${MONTHS[t.getUTCMonth()]} ${t.getUTCFullYear()}`;
}

/** `25 Nov 2026, 09:14:05 UTC`. */
export function utcText(ms: number): string {
  return `${dayText(ms)} ${new Date(ms).getUTCFullYear()}, ${clockSecondsText(ms)} UTC`;
}

/** The same moment where the viewer is. */
export function localText(ms: number): string {
  return new Date(ms).toLocaleString('en-GB', { dateStyle: 'medium', timeStyle: 'long' });
}

/** How long ago, in words: `just now`, `12 min ago`, `5 h ago`, `3 days ago`. */
export function ageText(ms: number, nowMs: number): string {
  const seconds = Math.max(0, (nowMs - ms) / 1000);
  if (seconds < 45) return 'just now';
  return `${spanText(seconds)} ago`;
}

/** A length of time in its largest fitting unit: `12 min`, `5 h`, `3 days`. */
export function spanText(seconds: number): string {
  const minutes = Math.round(seconds / 60);
  if (seconds < 45) return `${Math.round(seconds)} s`;
  if (minutes < 90) return `${Math.max(1, minutes)} min`;
  const hours = Math.round(seconds / 3600);
  if (hours < 36) return `${hours} h`;
  const days = Math.round(seconds / 86400);
  return days === 1 ? '1 day' : `${days} days`;
}

/** A place in a recording: `0:07.4`, `12:03.0`, `1:02:03.4`. */
export function positionText(seconds: number): string {
  const tenths = Math.round(seconds * 10);
  const h = Math.floor(tenths / 36000);
  const m = Math.floor(tenths / 600) % 60;
  const s = `${two(Math.floor(tenths / 10) % 60)}.${tenths % 10}`;
  return h > 0 ? `${h}:${two(m)}:${s}` : `${m}:${s}`;
}

/** Reads an ISO time; null when there is none or it is no time. */
export function parseTime(iso: string | null | undefined): number | null {
  if (iso === null || iso === undefined || iso === '') return null;
  const ms = Date.parse(iso);
  return Number.isNaN(ms) ? null : ms;
}

const TYPED = /^(\d{4})-(\d{1,2})-(\d{1,2})(?:[ T,]+(\d{1,2}):(\d{2})(?::(\d{2})(?:\.\d+)?)?)?\s*(?:Z|UTC)?$/i;

/** Reads a moment as people type it, always as UTC: `2031-05-04 09:12`, also with seconds, `T` or `Z`; else null. */
export function parseUtc(typed: string): number | null {
  const match = TYPED.exec(typed.trim());
  if (match === null) return null;
  const [year = 0, month = 0, day = 0, hour = 0, minute = 0, second = 0] = match
    .slice(1)
    .map((part) => Number(part ?? 0));
  const ms = Date.UTC(year, month - 1, day, hour, minute, second);
  const read = new Date(ms);
  const real = read.getUTCMonth() === month - 1 && read.getUTCDate() === day && hour < 24 && minute < 60 && second < 60;
  return real ? ms : null;
}

/** A moment as it is typed: `2031-05-04 09:12:07`. */
export function utcFieldText(ms: number): string {
  const text = new Date(ms).toISOString();
  return `${text.slice(0, 10)} ${text.slice(11, 19)}`;
}
