import type { Query } from '../../address/address.ts';
import { parseTime } from '../../words/time.ts';

export const LEAST_TRUST = ['confirmed', 'probable', 'doubtful'] as const;
export type LeastTrust = (typeof LEAST_TRUST)[number];

/** What of the log is shown, as the address says it. */
export interface LogView {
  /** The least trust; doubtful shows all. */
  readonly trust: LeastTrust;
  readonly station: string;
  readonly fromMs: number | null;
  readonly toMs: number | null;
  /** Where the page begins; null for the newest. */
  readonly after: string | null;
}

const isTrust = (text: string | null): text is LeastTrust => (LEAST_TRUST as readonly (string | null)[]).includes(text);

export function readLogView(query: URLSearchParams): LogView {
  const trust = query.get('trust');
  return {
    trust: isTrust(trust) ? trust : 'doubtful',
    station: query.get('station') ?? '',
    fromMs: parseTime(query.get('from')),
    toMs: parseTime(query.get('to')),
    after: query.get('after'),
  };
}

const iso = (ms: number | null): string | null => (ms === null ? null : new Date(ms).toISOString());

/** The query of a view, for the address and for the server alike; all frames are asked for by leaving trust out. */
export function logQuery(view: LogView): Query {
  return {
    trust: view.trust === 'doubtful' ? null : view.trust,
    station: view.station,
    from: iso(view.fromMs),
    to: iso(view.toMs),
    after: view.after,
  };
}
