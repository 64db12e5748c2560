/** By how much a sender's own interval may differ from the one that its definition states. */
const INTERVAL_ERROR = 0.03;
const INTERVAL_STEPS = 60;
/** Share of the interval that a transmission may be early or late and still keep the rhythm. */
const IN_STEP = 0.03;
/** Out of step by so much, and so many seconds, is no jitter any more. */
const OUT_OF_STEP = 0.15;
const OUT_OF_STEP_SECONDS = 5;
/** A rhythm shows in so many distances that keep it, and so large a share of all. */
const LEAST_IN_STEP = 3;
const LEAST_SHARE_IN_STEP = 2 / 3;
/** A distance below this share of the interval is shorter than the sender can have left it; one alone may be a command's. */
const TOO_SHORT = 0.75;
const LEAST_TOO_SHORT = 3;

/**
 * Where the transmissions of a sender that keeps its interval are out of step: between them seconds of the recording are not
 * seconds of time, or the sender began anew. Copies come at whole multiples of the interval, as some are not heard.
 *
 * @param times ascending, seconds, of transmissions of one kind.
 * @param intervalSeconds as stated; what the sender keeps is measured.
 * @returns indices of the transmissions before each such place; empty too where no rhythm shows.
 */
export function outOfStep(times: readonly number[], intervalSeconds: number): number[] {
  const distances = times.slice(1).map((time, i) => time - times[i]);
  const tooShort = distances.flatMap((distance, i) => (distance < TOO_SHORT * intervalSeconds ? [i] : []));
  if (tooShort.length >= LEAST_TOO_SHORT) return tooShort;
  const counts = (interval: number): number[] => distances.map((distance) => Math.round(distance / interval));
  const late = (interval: number): number[] =>
    counts(interval).map((count, i) => Math.abs(distances[i] - count * interval));
  const inStep = (interval: number): number[] =>
    late(interval).flatMap((seconds, i) => (seconds <= IN_STEP * interval ? [i] : []));
  let kept: number[] = [];
  let interval = intervalSeconds;
  for (let step = 0; step <= INTERVAL_STEPS; step++) {
    const tried = intervalSeconds * (1 + INTERVAL_ERROR * ((2 * step) / INTERVAL_STEPS - 1));
    const found = inStep(tried);
    if (found.length > kept.length) [kept, interval] = [found, tried];
  }
  if (kept.length < LEAST_IN_STEP || kept.length < LEAST_SHARE_IN_STEP * distances.length) return [];
  // Least squares through the distances that keep the rhythm.
  const n = counts(interval);
  const sum = (of: (i: number) => number): number => kept.reduce((total, i) => total + of(i), 0);
  const measured = sum((i) => n[i] * distances[i]) / sum((i) => n[i] * n[i]);
  const most = Math.max(OUT_OF_STEP * measured, OUT_OF_STEP_SECONDS);
  return late(measured).flatMap((seconds, i) => (seconds > most ? [i] : []));
}
