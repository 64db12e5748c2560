import type { Query } from '../../address/address.ts';
import type { TimeWindow } from '../../charts/time-window.ts';
import { parseTime } from '../../words/time.ts';

/** A stretch of time as the viewer asked for it. */
export type Range = { readonly last: RangeName } | TimeWindow;

export const RANGES = {
  '6h': { words: '6 hours', seconds: 6 * 3600 },
  '1d': { words: '1 day', seconds: 86_400 },
  '3d': { words: '3 days', seconds: 3 * 86_400 },
  '2w': { words: '2 weeks', seconds: 14 * 86_400 },
  '3m': { words: '3 months', seconds: 91 * 86_400 },
  '2y': { words: '2 years', seconds: 730 * 86_400 },
} as const;

export type RangeName = keyof typeof RANGES;

const USUAL_RANGE: RangeName = '3d';

/** One reading that was chosen, to see where it came from. */
export interface ChosenPoint {
  readonly parameter: string;
  readonly frame: string;
}

/** Everything that the address says of a view of the trends. */
export interface TrendsView {
  /** Empty for the usual ones. */
  readonly parameters: readonly string[];
  readonly range: Range;
  /** Doubtful readings are shown as well. */
  readonly doubtful: boolean;
  readonly point: ChosenPoint | null;
}

const isRangeName = (text: string | null): text is RangeName => text !== null && Object.hasOwn(RANGES, text);

/** Reads a view from the query; whatever makes no sense is as if it were not there. */
export function readView(query: URLSearchParams): TrendsView {
  const [fromMs, toMs] = [parseTime(query.get('from')), parseTime(query.get('to'))];
  const named = query.get('range');
  const [parameter, frame] = (query.get('point') ?? '').split('@');
  return {
    parameters: [...new Set(query.getAll('parameter').filter((id) => id !== ''))],
    range:
      fromMs !== null && toMs !== null && fromMs < toMs
        ? { fromMs, toMs }
        : { last: isRangeName(named) ? named : USUAL_RANGE },
    doubtful: query.get('doubtful') === 'shown',
    point: parameter && frame ? { parameter, frame } : null,
  };
}

const isoSeconds = (ms: number): string => `${new Date(ms).toISOString().slice(0, 19)}Z`;

/** The query of a view; what is usual is left out. */
export function viewQuery(view: TrendsView): Query {
  const { range } = view;
  const time =
    'last' in range
      ? { range: range.last === USUAL_RANGE ? null : range.last }
      : { from: isoSeconds(range.fromMs), to: isoSeconds(range.toMs) };
  return {
    parameter: view.parameters,
    ...time,
    doubtful: view.doubtful ? 'shown' : null,
    point: view.point === null ? null : `${view.point.parameter}@${view.point.frame}`,
  };
}

/** Room after the present, as a share of the range, so that the newest point stands clear of the edge. */
const AHEAD = 0.015;

/** The stretch that a range means at a moment. */
export function windowOf(range: Range, nowMs: number): TimeWindow {
  if (!('last' in range)) return range;
  const lengthMs = RANGES[range.last].seconds * 1000;
  return { fromMs: nowMs - lengthMs, toMs: nowMs + AHEAD * lengthMs };
}
