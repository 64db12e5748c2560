import { nowMs } from '../shell/clock.ts';
import { ageText, localText, parseTime, utcText } from '../words/time.ts';

/** A moment as its age in words; the exact time in UTC and in the viewer's zone is in the title. */
export function Age({ at }: { readonly at: string | null }) {
  const ms = parseTime(at);
  if (ms === null) return <span>time unknown</span>;
  return (
    <time dateTime={new Date(ms).toISOString()} title={`${utcText(ms)}\n${localText(ms)}`}>
      {ageText(ms, nowMs.value)}
    </time>
  );
}

/** A moment as its UTC time; the viewer's own zone is in the title. */
export function Moment({ at }: { readonly at: string | null }) {
  const ms = parseTime(at);
  if (ms === null) return <span class="faint">time unknown</span>;
  return (
    <time dateTime={new Date(ms).toISOString()} title={localText(ms)}>
      {utcText(ms)}
    </time>
  );
}
