import { FiveunitError } from '../decoders/errors.ts';
import type { Fault } from '../decoders/mission/fault.ts';

/** Every code that a refused request may carry, with its HTTP status and the short title of its kind. Codes are stable. */
export const REFUSALS = {
  'request-malformed': { status: 400, title: 'The request is not as described' },
  'body-not-json': { status: 400, title: 'The body is not JSON' },
  'multipart-malformed': { status: 400, title: 'The form data cannot be read' },
  'key-needed': { status: 401, title: 'A key is needed' },
  'key-unknown': { status: 401, title: 'The key is not known' },
  'team-key-needed': { status: 403, title: "The team's key is needed" },
  'station-mismatch': { status: 403, title: 'The key belongs to another station' },
  'origin-refused': { status: 403, title: 'A page of another site asks' },
  'not-yours': { status: 403, title: 'Only the sender and the team may do this' },
  'address-unknown': { status: 404, title: 'There is nothing at this address' },
  'mission-unknown': { status: 404, title: 'There is no such mission' },
  'recording-unknown': { status: 404, title: 'There is no such recording' },
  'burst-unknown': { status: 404, title: 'The recording has no such burst' },
  'frame-unknown': { status: 404, title: 'There is no such frame' },
  'parameter-unknown': { status: 404, title: 'The mission has no such parameter' },
  'station-unknown': { status: 404, title: 'There is no such station' },
  'request-too-slow': { status: 408, title: 'The request took too long' },
  'recording-not-decoded': { status: 409, title: 'The recording is not decoded yet' },
  'version-conflict': { status: 412, title: 'Another version stands' },
  'body-too-large': { status: 413, title: 'The body is too large' },
  'recording-too-large': { status: 413, title: 'The recording is too large' },
  'media-type-unknown': { status: 415, title: 'The body is of a kind that is not taken' },
  'range-impossible': { status: 416, title: 'The file has no such bytes' },
  'mission-faulty': { status: 422, title: 'The mission definition has faults' },
  'line-unreadable': { status: 422, title: 'The text fits no layout of the mission' },
  'time-impossible': { status: 422, title: 'The time cannot be right' },
  'sound-unreadable': { status: 422, title: 'The recording cannot be heard' },
  'cut-out-unfit': { status: 422, title: 'The file is no cut-out of bursts' },
  'recording-empty': { status: 422, title: 'The recording is empty' },
  'upgrade-needed': { status: 426, title: 'This address speaks WebSocket' },
  'too-many-requests': { status: 429, title: 'Too many requests' },
  'headers-too-large': { status: 431, title: 'The headers are too large' },
  internal: { status: 500, title: 'The server failed' },
  stopping: { status: 503, title: 'The server is stopping' },
  'storage-full': { status: 507, title: 'The disk is full' },
} as const satisfies Record<string, { status: number; title: string }>;

export type RefusalCode = keyof typeof REFUSALS;

export interface RefusalFacts {
  /** The part of the request that is meant, for instance `body/receivedAt`. */
  readonly at?: string;
  readonly limit?: number;
  readonly retryAfterSeconds?: number;
  readonly faults?: readonly Fault[];
  readonly nearest?: { readonly frame: string; readonly at: number; readonly expected: string } | null;
  readonly version?: number;
}

/** A request that is not granted; the message says what was given, what may be, and what to do. */
export class Refusal extends FiveunitError {
  declare readonly code: RefusalCode;
  readonly facts: RefusalFacts;
  constructor(code: RefusalCode, message: string, facts: RefusalFacts = {}) {
    super(code, message);
    this.name = 'Refusal';
    this.facts = facts;
  }
}
