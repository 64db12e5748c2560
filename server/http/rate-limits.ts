import fastifyRateLimit, { type errorResponseBuilderContext, type RateLimitOptions } from '@fastify/rate-limit';
import type { FastifyRequest } from 'fastify';
import type { Limits } from '../limits.ts';
import { Refusal } from '../refusal.ts';
import type { App } from './app-types.ts';

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;
/** A station is known and can be spoken to. */
const STATION_FACTOR = 10;
const SENDERS_REMEMBERED = 10_000;

/** Limits how often a sender may ask: a station by its key, anyone else by address. */
export async function limitRates(app: App, limits: Limits): Promise<void> {
  await app.register(fastifyRateLimit, {
    global: true,
    cache: SENDERS_REMEMBERED,
    keyGenerator: senderOf,
    ...limit('requests', limits.requestsPerMinute, MINUTE),
  });
}

export function recordingRate(limits: Limits): RateLimitOptions {
  return limit('recordings', limits.recordingsPerHour, HOUR);
}

export function lineRate(limits: Limits): RateLimitOptions {
  return limit('lines', limits.linesPerMinute, MINUTE);
}

function limit(what: string, max: number, timeWindow: number): RateLimitOptions {
  return {
    timeWindow,
    max: (request) => (isTrusted(request) ? max * STATION_FACTOR : max),
    errorResponseBuilder: (_request, context) => tooMany(what, context, timeWindow),
  };
}

function tooMany(what: string, { max, ttl }: errorResponseBuilderContext, timeWindow: number): Refusal {
  const retryAfterSeconds = Math.ceil(ttl / 1000);
  return new Refusal(
    'too-many-requests',
    `at most ${max} ${what} ${timeWindow === HOUR ? 'an hour' : 'a minute'} are taken from one sender: come again in ${retryAfterSeconds} s`,
    { limit: max, retryAfterSeconds },
  );
}

function isTrusted({ caller }: FastifyRequest): boolean {
  return caller.kind === 'station' || caller.kind === 'team';
}

function senderOf({ caller, ip }: FastifyRequest): string {
  if (caller.kind === 'team') return 'team';
  return caller.kind === 'station' ? `station ${caller.callSign}` : `address ${ip}`;
}
