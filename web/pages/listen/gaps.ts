/** Time in which nothing was heard. */
export interface Gap {
  readonly fromMs: number;
  /** Null while it lasts. */
  readonly toMs: number | null;
}

/** An input that comes and goes all night leaves thousands: the last ones are kept. */
const MOST_KEPT = 20;

/** With the system's word that it took the input away, or gave it back. */
export function afterInterruption(gaps: readonly Gap[], isInterrupted: boolean, nowMs: number): readonly Gap[] {
  const last = gaps.at(-1);
  const isOpen = last !== undefined && last.toMs === null;
  if (isInterrupted === isOpen) return gaps;
  if (isOpen) return [...gaps.slice(0, -1), { fromMs: last.fromMs, toMs: nowMs }];
  return [...gaps, { fromMs: nowMs, toMs: null }].slice(-MOST_KEPT);
}

/** With a gap that showed in the samples, unless the system spoke of it already. */
export function withGap(gaps: readonly Gap[], fromMs: number, gapEndMs: number): readonly Gap[] {
  const isKnown = gaps.some((gap) => gap.fromMs < gapEndMs && (gap.toMs ?? gapEndMs) > fromMs);
  return isKnown ? gaps : [...gaps, { fromMs, toMs: gapEndMs }].slice(-MOST_KEPT);
}
