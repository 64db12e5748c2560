import type { MirroredSpectra } from './mirrored-spectra.ts';

/** Peaks so close, in bins, belong to one signal: what lies further apart any of many delays explains. */
const MOST_GAP = 40;
/** Beside a peak nothing is higher so far, and nothing of it stands beyond (Hann window). */
const LOBE = 2;
/** Below it a peak may be what another leaks. */
const LEAST_OF_STRONGEST = 0.02;
/** Standard deviations between what was measured and the least delay that would explain it. */
const LEAST_SIGMAS = 3;

interface Peak {
  readonly bin: number;
  /** What stands at the mirror in step with it, over it; imaginary part, its sign that of a delay. */
  readonly image: number;
  /** One over the variance of `image`. */
  readonly weight: number;
}

/**
 * Whether no delay between two channels makes of one sound what stands on one side. A delay turns the phase between channels in
 * proportion to frequency, so it puts one frequency in quadrature and what stands beside it not quite: from the phase
 * 2 pi f t follows for the mirror over its signal i cos / (1 + sin), whose slope is at least pi / 4 over the frequency. A
 * single line, and one on top of noise, every delay explains.
 *
 * @param oneSided bins that have nothing to speak of on their mirror side.
 */
export function isNoDelay(spectra: MirroredSpectra, oneSided: readonly number[]): boolean {
  const [lowest] = oneSided;
  if (lowest === undefined) return false;
  let within = 0;
  let product = 0;
  for (const peaks of signalsOf(peaksOf(spectra, oneSided))) {
    const total = peaks.reduce((sum, { weight }) => sum + weight, 0);
    const middle = peaks.reduce((sum, { weight, bin }) => sum + weight * bin, 0) / total;
    for (const { bin, image, weight } of peaks) {
      within += weight * (bin - middle) ** 2;
      product += weight * (bin - middle) * image;
    }
  }
  if (within === 0) return false;
  const least = Math.PI / (4 * lowest);
  return least - Math.abs(product / within) > LEAST_SIGMAS / Math.sqrt(2 * within);
}

function peaksOf(spectra: MirroredSpectra, oneSided: readonly number[]): Peak[] {
  const strengths = oneSided.map((bin) => spectra.stronger(bin));
  const strongest = Math.max(...strengths);
  return oneSided
    .filter((bin, i) => {
      if (strengths[i] < LEAST_OF_STRONGEST * strongest) return false;
      for (let k = bin - LOBE; k <= bin + LOBE; k++) if (spectra.stronger(k) > strengths[i]) return false;
      return true;
    })
    .map((bin) => {
      let signal = 0;
      let noise = 0;
      let cross = 0;
      for (let k = bin - 1; k <= bin + 1; k++) {
        signal += spectra.stronger(k);
        noise += spectra.stronger(k) * spectra.weaker(k);
        cross += spectra.crossIm[k];
      }
      const sign = spectra.upper[bin] > spectra.lower[bin] ? 1 : -1;
      return { bin, image: (sign * cross) / signal, weight: (signal * signal * spectra.transforms) / noise };
    });
}

function signalsOf(peaks: readonly Peak[]): Peak[][] {
  const signals: Peak[][] = [];
  for (const peak of peaks) {
    const last = signals.at(-1);
    const before = last?.at(-1);
    if (last !== undefined && before !== undefined && peak.bin - before.bin <= MOST_GAP) last.push(peak);
    else signals.push([peak]);
  }
  return signals;
}
