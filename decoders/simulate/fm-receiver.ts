import { kaiserBeta, kaiserTapCount, lowPassTaps } from '../signal/fir.ts';
import type { ComplexSource, Source } from './source.ts';
import { inPieces, PIECE_SAMPLES, take } from './source.ts';
import { StreamFilter } from './stream-filter.ts';

export interface FmReception {
  /** What the aerial gives, about the carrier's nominal frequency. */
  readonly band: ComplexSource;
  readonly bandRateHz: number;
  /** The audio's rate is that of the band over this whole number. */
  readonly decimation: number;
  /** Noise bandwidth of the IF filter, which is nearly rectangular. */
  readonly ifBandwidthHz: number;
  /** Audio for a frequency 1 Hz above the nominal one. */
  readonly audioPerHz: number;
}

/** From pass band to stop band on either side of the IF filter, over its width. */
const IF_TRANSITION = 0.2;
const IF_STOP_DB = 50;
/** Pass band and stop band of the audio filter, over the audio's rate. */
const AUDIO_PASS = 0.42;
const AUDIO_STOP = 0.5;
const AUDIO_STOP_DB = 60;

/**
 * An FM receiver, squelch open: IF filter, limiter and discriminator, then no filter but the one that the audio's rate
 * calls for, so that the audio is flat, down to frequency zero, and in time with the band. Where noise carries the phasor
 * round zero there is a click of one turn (S. O. Rice, Noise in FM receivers, 1963).
 */
export function fmReceiver(options: FmReception): Source {
  const { band, bandRateHz, decimation, ifBandwidthHz, audioPerHz } = options;
  const ifTaps = ifFilter(ifBandwidthHz / bandRateHz);
  const transition = (AUDIO_STOP - AUDIO_PASS) / decimation;
  let audioTapCount = oddTapCount(AUDIO_STOP_DB, transition);
  const delay = () => (ifTaps.length - 1 + audioTapCount - 1) / 2;
  // Whole audio samples, which can be left out.
  while (delay() % decimation !== 0) audioTapCount += 2;
  const audioTaps = lowPass(audioTapCount, AUDIO_STOP / decimation - transition / 2, AUDIO_STOP_DB);

  const length = PIECE_SAMPLES * decimation;
  const inPhase = new StreamFilter(ifTaps, length);
  const quadrature = new StreamFilter(ifTaps, length);
  const audio = new StreamFilter(audioTaps, length, decimation);
  const re = new Float32Array(length);
  const im = new Float32Array(length);
  const discriminate = discriminator((bandRateHz / (2 * Math.PI)) * audioPerHz);
  const source = inPieces((piece) => {
    band.fill(inPhase.input, quadrature.input);
    inPhase.filter(re);
    quadrature.filter(im);
    discriminate(re, im, audio.input);
    audio.filter(piece);
  });
  take(source, delay() / decimation);
  return source;
}

/** Taps of the IF filter; `width` is its noise bandwidth over the rate. */
function ifFilter(width: number): Float64Array {
  const count = oddTapCount(IF_STOP_DB, IF_TRANSITION * width);
  const noiseWidth = lowPass(count, width / 2, IF_STOP_DB).reduce((sum, tap) => sum + tap * tap, 0);
  // Half a transition more or less of the noise: the edges move by what is missing between them.
  return lowPass(count, width - noiseWidth / 2, IF_STOP_DB);
}

/** Angle from each sample to the next, times `gain`. */
function discriminator(gain: number): (re: Float32Array, im: Float32Array, out: Float32Array) => void {
  let lastRe = 0;
  let lastIm = 0;
  return (re, im, out) => {
    for (let i = 0; i < re.length; i++) {
      out[i] = gain * Math.atan2(im[i] * lastRe - re[i] * lastIm, re[i] * lastRe + im[i] * lastIm);
      lastRe = re[i];
      lastIm = im[i];
    }
  };
}

function oddTapCount(stopDb: number, transition: number): number {
  return 2 * Math.ceil((kaiserTapCount(stopDb, transition) - 1) / 2) + 1;
}

function lowPass(tapCount: number, cutoff: number, stopDb: number): Float64Array {
  return lowPassTaps(tapCount, cutoff, kaiserBeta(stopDb));
}
