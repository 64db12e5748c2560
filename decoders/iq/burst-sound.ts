import type { BurstCarrier } from '../signal/types.ts';
import { BandHistory } from './band-history.ts';
import { type Tuning, viewBand } from './band-view.ts';
import { discriminate } from './discriminate.ts';
import { HEARD_MIDDLE_HZ } from './heard-tones.ts';

const KEYED = { passHz: 1200, stopHz: 1650, leastRateHz: 8000 };
/** Carson's width for 3 kHz of deviation and tones below 1.6 kHz, and room for the filter. */
const FM_HALF_WIDTH_HZ = 4600;
const FM_TRANSITION_HZ = 1200;
const FM_OVERSAMPLING = 4;
/** Band samples looked at together. */
const PIECE_SECONDS = 2;
/** Longer than the filters reach. */
const LEAD_SECONDS = 0.05;

/** Real audio of part of a band. */
export interface BurstSound {
  readonly samples: Float32Array;
  /** 8000 Hz or more. */
  readonly rateHz: number;
}

/**
 * Makes a burst in a complex band heard: an FM carrier through a discriminator, a keyed one with the middle of its tones at
 * `HEARD_MIDDLE_HZ`, Doppler taken out of both. Takes the samples of a stretch block by block and holds little of them.
 */
export class BurstListener {
  readonly #carrier: BurstCarrier;
  readonly #middleHz: number;
  readonly #tuning: Tuning;
  readonly #history: BandHistory;
  readonly #view: { readonly passHz: number; readonly stopHz: number; readonly leastRateHz: number };
  readonly #halfWidthHz: number;
  readonly #decimation: number;
  readonly #pieceFrames: number;
  readonly #leadFrames: number;
  readonly #parts: { readonly re: Float64Array; readonly im: Float64Array }[] = [];
  /** Number of the next sample that is looked at. */
  #next: number;

  /**
   * @param firstFrame number of the first sample that comes, from the start of the recording.
   * @param middleHz where the middle of a keyed carrier's tones is heard, in place of `HEARD_MIDDLE_HZ`.
   */
  constructor(bandRateHz: number, carrier: BurstCarrier, firstFrame: number, middleHz = HEARD_MIDDLE_HZ) {
    this.#carrier = carrier;
    this.#middleHz = middleHz;
    const { carrierHz: hz, seconds, driftHzPerSecond: hzPerSecond } = carrier;
    this.#tuning = { hz, seconds, hzPerSecond, hzPerSecond2: 0 };
    this.#halfWidthHz = Math.min(FM_HALF_WIDTH_HZ, bandRateHz / 2 - FM_TRANSITION_HZ);
    this.#view =
      carrier.modulation === 'fsk'
        ? KEYED
        : {
            passHz: this.#halfWidthHz,
            stopHz: this.#halfWidthHz + FM_TRANSITION_HZ,
            leastRateHz: FM_OVERSAMPLING * this.#halfWidthHz,
          };
    this.#decimation = Math.max(1, Math.floor(bandRateHz / this.#view.leastRateHz));
    this.#pieceFrames = this.#decimation * Math.ceil((PIECE_SECONDS * bandRateHz) / this.#decimation);
    this.#leadFrames = Math.ceil(LEAD_SECONDS * bandRateHz);
    this.#history = new BandHistory(bandRateHz, this.#pieceFrames + 2 * this.#leadFrames, firstFrame);
    this.#next = firstFrame;
  }

  push(re: Float32Array, im: Float32Array): void {
    for (let at = 0; at < re.length; ) {
      const wanted = this.#next + this.#pieceFrames + this.#leadFrames - this.#history.end;
      const taken = Math.min(wanted, re.length - at);
      this.#history.append(re.subarray(at, at + taken), im.subarray(at, at + taken));
      at += taken;
      if (taken === wanted) this.#look(this.#next + this.#pieceFrames);
    }
  }

  /** What was pushed, from its first sample on. */
  end(): BurstSound {
    this.#look(this.#history.end);
    const count = this.#parts.reduce((sum, { re }) => sum + re.length, 0);
    const re = new Float64Array(count);
    const im = new Float64Array(count);
    let at = 0;
    for (const part of this.#parts) {
      re.set(part.re, at);
      im.set(part.im, at);
      at += part.re.length;
    }
    const rateHz = this.#history.sampleRateHz / this.#decimation;
    const isFm = this.#carrier.modulation === 'fm';
    const samples = isFm ? discriminate(re, im, rateHz, this.#halfWidthHz) : shifted(re, im, rateHz, this.#middleHz);
    return { samples, rateHz };
  }

  #look(until: number): void {
    const { sampleRateHz } = this.#history;
    // Half a sample on either side, so that rounding takes none away.
    const [from, to] = [(this.#next - 0.5) / sampleRateHz, (until + 0.5) / sampleRateHz];
    this.#parts.push(viewBand(this.#history, this.#tuning, from, to, this.#view));
    this.#next = until;
  }
}

/** The real part of a band with its zero moved to `middleHz`, as loud as it may be. */
function shifted(re: Float64Array, im: Float64Array, rateHz: number, middleHz: number): Float32Array {
  const samples = new Float32Array(re.length);
  let loudest = 0;
  for (let n = 0; n < samples.length; n++) {
    const turn = (middleHz * n) / rateHz;
    const angle = 2 * Math.PI * (turn - Math.floor(turn));
    samples[n] = re[n] * Math.cos(angle) - im[n] * Math.sin(angle);
    loudest = Math.max(loudest, Math.abs(samples[n]));
  }
  const gain = loudest > 0 ? 0.5 / loudest : 0;
  for (let n = 0; n < samples.length; n++) samples[n] *= gain;
  return samples;
}
