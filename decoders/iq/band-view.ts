import { kaiserBeta, kaiserTapCount, lowPassTaps } from '../signal/fir.ts';
import { type Oscillator, usualKernel } from '../signal/kernel/kernel.ts';
import type { BandHistory } from './band-history.ts';

/** A place in the band that moves: `hz` at `seconds`, and how it goes on from there. */
export interface Tuning {
  readonly hz: number;
  readonly seconds: number;
  readonly hzPerSecond: number;
  /** How the drift itself changes, Hz/s each second: Doppler bends near the closest approach. */
  readonly hzPerSecond2: number;
}

/** Frequency of a tuning at a time. */
export function hzAt({ hz, seconds, hzPerSecond, hzPerSecond2 }: Tuning, atSeconds: number): number {
  const t = atSeconds - seconds;
  return hz + (hzPerSecond + 0.5 * hzPerSecond2 * t) * t;
}

export interface ViewOptions {
  /** What passes on either side of the tuning, and from where on nothing may. */
  readonly passHz: number;
  readonly stopHz: number;
  /** The rate is the lowest whole share of the band's that is not below this. */
  readonly leastRateHz: number;
}

/** A part of a band, taken along as it moves: what stood at the tuning stands at zero. */
export interface BandView {
  readonly re: Float64Array;
  readonly im: Float64Array;
  readonly rateHz: number;
  readonly startSeconds: number;
}

const ATTENUATION_DB = 50;
/** Outputs made at once, of a copy of their samples: short enough for the drift to be steady meanwhile. */
const OUTPUTS = 1024;

/** Looks at the band between two times, as far as it is held. */
export function viewBand(
  history: BandHistory,
  tuning: Tuning,
  fromSeconds: number,
  toSeconds: number,
  { passHz, stopHz, leastRateHz }: ViewOptions,
): BandView {
  const bandRateHz = history.sampleRateHz;
  const decimation = Math.max(1, Math.floor(bandRateHz / leastRateHz));
  const first = Math.ceil(Math.max(history.begin, fromSeconds * bandRateHz));
  const last = Math.floor(Math.min(history.end, toSeconds * bandRateHz));
  const count = Math.max(0, Math.floor((last - first) / decimation));
  const taps = bandTaps(bandRateHz, passHz, stopHz);
  const reach = (taps.length - 1) / 2;
  const lead = decimation * Math.ceil(reach / decimation);
  const re = new Float64Array(count);
  const im = new Float64Array(count);
  const inPhase = new Float32Array(2 * lead + OUTPUTS * decimation);
  const quadrature = new Float32Array(inPhase.length);
  const parts = Array.from({ length: 4 }, () => new Float64Array(2 * (lead / decimation) + OUTPUTS));
  const kernel = usualKernel();
  for (let done = 0; done < count; done += OUTPUTS) {
    const from = first + done * decimation - lead;
    history.copy(from, inPhase, quadrature);
    const oscillator = oscillatorAt(tuning, from / bandRateHz, bandRateHz);
    const [iRe, iIm, qRe, qIm] = parts;
    kernel.mixDown(inPhase, oscillator, taps, decimation, iRe, iIm);
    kernel.mixDown(quadrature, oscillator, taps, decimation, qRe, qIm);
    const skipped = lead / decimation;
    const here = Math.min(OUTPUTS, count - done);
    for (let n = 0; n < here; n++) {
      re[done + n] = iRe[skipped + n] - qIm[skipped + n];
      im[done + n] = iIm[skipped + n] + qRe[skipped + n];
    }
  }
  return { re, im, rateHz: bandRateHz / decimation, startSeconds: first / bandRateHz };
}

/** What undoes a tuning from a time on. */
function oscillatorAt(tuning: Tuning, atSeconds: number, rateHz: number): Oscillator {
  const { hz, seconds, hzPerSecond, hzPerSecond2 } = tuning;
  const t = atSeconds - seconds;
  const cycles = (hz + (hzPerSecond / 2 + (hzPerSecond2 * t) / 6) * t) * t;
  const turn = -2 * Math.PI;
  return {
    phase: turn * (cycles - Math.floor(cycles)),
    turn: (turn * hzAt(tuning, atSeconds)) / rateHz,
    twist: (turn * (hzPerSecond + hzPerSecond2 * t)) / (rateHz * rateHz),
  };
}

function bandTaps(rateHz: number, passHz: number, stopHz: number): Float64Array {
  const count = 2 * Math.ceil(kaiserTapCount(ATTENUATION_DB, (stopHz - passHz) / rateHz) / 2) + 1;
  return lowPassTaps(count, Math.min(0.5, (passHz + stopHz) / 2 / rateHz), kaiserBeta(ATTENUATION_DB));
}
