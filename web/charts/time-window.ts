/** The stretch of time that all panels show, milliseconds since the epoch. */
export interface TimeWindow {
  readonly fromMs: number;
  readonly toMs: number;
}

const SHORTEST_MS = 60_000;
const LONGEST_MS = 50 * 365.25 * 86_400_000;

/** Moves a window by a share of its length; positive is later. */
export function pan(window: TimeWindow, share: number): TimeWindow {
  const by = (window.toMs - window.fromMs) * share;
  return { fromMs: window.fromMs + by, toMs: window.toMs + by };
}

/**
 * Zooms around a place in the window.
 * @param factor below 1 shows less time in more detail
 * @param place share of the window's length that stays where it is, 0 to 1
 */
export function zoom(window: TimeWindow, factor: number, place = 0.5): TimeWindow {
  const length = window.toMs - window.fromMs;
  const wanted = Math.min(Math.max(length * factor, SHORTEST_MS), LONGEST_MS);
  const fromMs = window.fromMs + (length - wanted) * place;
  return { fromMs, toMs: fromMs + wanted };
}

/** The moment at a share of the window's length. */
export function momentAt(window: TimeWindow, share: number): number {
  return window.fromMs + (window.toMs - window.fromMs) * share;
}
