import type { BurstCarrier, CarrierPoint } from '../signal/types.ts';
import type { DemodulatedBurst } from '../teletype/demodulate.ts';
import { elementTimes } from '../teletype/slot-elements.ts';
import type { Tuning } from './band-view.ts';

/** Seconds of a burst that make one point: long enough for a sharp one, short enough for Doppler to be a straight line. */
const POINT_SECONDS = 1;
/** No point counts for more than this, however clear: timing and filters are not that good. */
const LEAST_SIGMA_HZ = 0.02;
const FEWEST_ELEMENTS = 12;

/**
 * The middle of a burst's two tones in the course of time, from the turn of the phase within its elements.
 *
 * @param toBandHz turns a frequency of the burst's own samples at a time into one of the band.
 */
export function trackCarrier(
  { elements, soft, markHz, spaceHz, centreSeconds, driftHzPerSecond }: DemodulatedBurst,
  toBandHz: (hz: number, seconds: number) => number,
): CarrierPoint[] {
  const { times } = elementTimes(soft.startSeconds, elements.elementSeconds);
  const [begin, end] = [times[0], times[times.length - 1]];
  const count = Math.max(1, Math.round((end - begin) / POINT_SECONDS));
  const points: CarrierPoint[] = [];
  for (let i = 0; i < count; i++) {
    const from = begin + ((end - begin) * i) / count;
    const to = begin + ((end - begin) * (i + 1)) / count;
    const here = times.filter((time) => time >= from && time < to);
    if (here.length < FEWEST_ELEMENTS) continue;
    const { hz, sigmaHz } = elements.commonOffset(here);
    if (!Number.isFinite(sigmaHz)) continue;
    const seconds = here.reduce((sum, time) => sum + time, 0) / here.length + elements.elementSeconds / 2;
    const own = (markHz + spaceHz) / 2 + driftHzPerSecond * (seconds - centreSeconds) + hz;
    points.push({
      seconds,
      carrierHz: toBandHz(own, seconds),
      uncertaintyHz: Math.max(LEAST_SIGMA_HZ, sigmaHz),
    });
  }
  elements.rest();
  return points;
}

/** Two tracks of the same times as one, in the middle between them. */
export function betweenTracks(a: readonly CarrierPoint[], b: readonly CarrierPoint[]): CarrierPoint[] {
  return a.flatMap((point) => {
    const other = b.find(({ seconds }) => Math.abs(seconds - point.seconds) < POINT_SECONDS / 2);
    if (other === undefined) return [];
    return {
      seconds: (point.seconds + other.seconds) / 2,
      carrierHz: (point.carrierHz + other.carrierHz) / 2,
      uncertaintyHz: Math.hypot(point.uncertaintyHz, other.uncertaintyHz) / 2,
    };
  });
}

/** What a track says of one time: frequency, drift, and how that changes. */
export interface CarrierFit {
  readonly tuning: Tuning;
  readonly sigmaHz: number;
}

/**
 * Fits a parabola to a track by weighted least squares, as Doppler bends within a burst near the closest approach; to few points
 * a line or nothing but a mean. Null for no points.
 */
export function fitCarrier(track: readonly CarrierPoint[], seconds: number): CarrierFit | null {
  if (track.length === 0) return null;
  const terms = Math.min(3, Math.ceil(track.length / 2));
  // Normal equations about `seconds`; the last column becomes the first one of their inverse.
  const rows = Array.from({ length: terms }, () => new Array<number>(terms + 2).fill(0));
  for (const point of track) {
    const weight = 1 / point.uncertaintyHz ** 2;
    for (let i = 0; i < terms; i++) {
      for (let j = 0; j < terms; j++) rows[i][j] += weight * (point.seconds - seconds) ** (i + j);
      rows[i][terms] += weight * (point.seconds - seconds) ** i * point.carrierHz;
    }
  }
  rows[0][terms + 1] = 1;
  for (let i = 0; i < terms; i++) {
    const pivot = rows[i][i];
    for (let j = i; j < terms + 2; j++) rows[i][j] /= pivot;
    for (let k = 0; k < terms; k++) {
      if (k === i) continue;
      const factor = rows[k][i];
      for (let j = i; j < terms + 2; j++) rows[k][j] -= factor * rows[i][j];
    }
  }
  const coefficient = (i: number): number => (i < terms ? rows[i][terms] : 0);
  return {
    tuning: { hz: coefficient(0), seconds, hzPerSecond: coefficient(1), hzPerSecond2: 2 * coefficient(2) },
    sigmaHz: Math.sqrt(rows[0][terms + 1]),
  };
}

/** The carrier of a burst in figures for its middle; null for no points. */
export function carrierOf(
  modulation: BurstCarrier['modulation'],
  track: readonly CarrierPoint[],
  seconds: number,
): BurstCarrier | null {
  const fit = fitCarrier(track, seconds);
  if (fit === null) return null;
  const { hz, hzPerSecond } = fit.tuning;
  return {
    modulation,
    seconds,
    carrierHz: hz,
    absoluteHz: null,
    driftHzPerSecond: hzPerSecond,
    uncertaintyHz: fit.sigmaHz,
    track,
  };
}
