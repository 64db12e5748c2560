import type { Now, ParameterNow } from '../../server/http/messages.ts';
import { countText, valueText } from './number.ts';
import { ageText, spanText } from './time.ts';

/** After so long a silence the sentence speaks of the past: a low orbit gives several passes in this time. */
const RECENT_SECONDS = 12 * 3600;

export interface Condition {
  /** One plain sentence, perhaps two: how the satellite is, and when it was last heard. */
  readonly headline: string;
  /** What is known besides, and what is not. */
  readonly details: readonly string[];
}

const lower = (name: string): string => (/^[A-Z][a-z]/.test(name) ? name[0]?.toLowerCase() + name.slice(1) : name);

function listText(names: readonly string[]): string {
  if (names.length < 2) return names.join('');
  return `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;
}

const secondsSince = (iso: string, nowMs: number): number => (nowMs - Date.parse(iso)) / 1000;

/** How a satellite is, in words. */
export function conditionOf(now: Now, nowMs: number): Condition {
  if (now.lastHeard === null) {
    return { headline: `Nothing has been heard from ${now.name} yet.`, details: waiting(now) };
  }
  const age = ageText(Date.parse(now.lastHeard.receivedAt), nowMs);
  const recent = secondsSince(now.lastHeard.receivedAt, nowMs) < RECENT_SECONDS;
  // the sentence must not lend a stranger's report the mission's voice
  const heard = `${age} by ${now.lastHeard.station}${now.lastHeard.vouched ? '' : ', unvouched'}`;
  return {
    headline: headlineOf(now, recent, heard),
    details: [...concerns(now, nowMs), ...pending(now), ...unvouched(now), ...neverRead(now), ...waiting(now)],
  };
}

function headlineOf(now: Now, recent: boolean, heard: string): string {
  const names = now.concerns.map((id) => lower(nameOf(now, id)));
  const [is, needs, are] = recent
    ? ['is', 'needs', names.length === 1 ? 'is' : 'are']
    : ['was', 'needed', names.length === 1 ? 'was' : 'were'];
  const last = recent ? `It was last heard ${heard}.` : `That was ${heard}; nothing has been heard since.`;
  switch (now.state) {
    case 'act':
      return `${now.name} ${needs} action: ${listText(names)} ${are} out of limits. ${last}`;
    case 'look':
      return `${now.name} ${needs} a look: ${listText(names)} ${are} out of limits. ${last}`;
    case 'steady':
      return recent ? `${now.name} ${is} well. ${last}` : `${now.name} was well when it was last heard, ${heard}.`;
    case 'unknown':
      return `${now.name} was heard ${heard}, but nothing yet tells how it is.`;
  }
}

const nameOf = (now: Now, id: string): string => now.parameters.find(({ parameter }) => parameter === id)?.name ?? id;

/** The bounds that a state speaks of, in words: `7 V to 8.3 V`, `at most 8.45 V`. */
export function boundsText(
  bounds: readonly [number | null, number | null],
  unit: string | null,
  decimals?: number,
): string {
  const [low, high] = bounds;
  if (low !== null && high !== null) return `${valueText(low, null, decimals)} to ${valueText(high, unit, decimals)}`;
  if (low !== null) return `at least ${valueText(low, unit, decimals)}`;
  if (high !== null) return `at most ${valueText(high, unit, decimals)}`;
  return 'no bound';
}

function concerns(now: Now, nowMs: number): string[] {
  return now.concerns.flatMap((id) => {
    const parameter = now.parameters.find((one) => one.parameter === id);
    const { limit, last } = parameter ?? {};
    if (parameter === undefined || !limit || (limit.state !== 'soft' && limit.state !== 'hard')) return [];
    const bounds = limit.state === 'hard' ? limit.hard : limit.soft;
    const since = limit.since === null ? '' : `, for ${spanText(secondsSince(limit.since, nowMs))} now`;
    const value = last ? ` It last read ${valueText(last.value, parameter.unit, parameter.decimals ?? undefined)}` : '';
    const wanted = bounds === null ? '' : ` where ${boundsText(bounds, parameter.unit)} is wanted`;
    const end = value === '' ? '' : `${value}${wanted}.`;
    return [`${parameter.name} is outside its ${limit.state} limits${since}.${end}`];
  });
}

function pending(now: Now): string[] {
  return now.parameters.flatMap(({ name, limit }) => {
    if (!limit?.pending || limit.pending.state === 'normal') return [];
    const { state, transmissions } = limit.pending;
    return [
      `${name} read outside its ${state} limits in the last ${countText(transmissions, 'transmission')}; ${limit.persistence} in a row count.`,
    ];
  });
}

function unvouched(now: Now): string[] {
  const outside = now.parameters.filter(
    ({ last }) => last !== null && !last.vouched && (last.limit === 'soft' || last.limit === 'hard'),
  );
  if (outside.length === 0) return [];
  return [
    `Unvouched reports put ${listText(outside.map(({ name }) => lower(name)))} outside limits; alone they raise no alarm.`,
  ];
}

function neverRead(now: Now): string[] {
  const never = now.parameters.filter(({ last }) => last === null).map(({ name }: ParameterNow) => lower(name));
  if (never.length === 0 || never.length === now.parameters.length) return [];
  if (never.length > 4) return [`Not known: ${countText(never.length, 'parameter')} that nobody has read yet.`];
  return [`Not known: ${listText(never)}.`];
}

function waiting(now: Now): string[] {
  if (now.waitingForTime === 0) return [];
  const one = now.waitingForTime === 1;
  return [
    `${countText(now.waitingForTime, 'frame')} ${one ? 'waits' : 'wait'} outside: nobody has said when ${one ? 'it was' : 'they were'} received.`,
  ];
}
