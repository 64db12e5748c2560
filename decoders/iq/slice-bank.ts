import { FiveunitError } from '../errors.ts';
import { WORKING_RATE_HZ } from '../signal/decimate.ts';
import { createFft } from '../signal/fft.ts';
import { kaiserAttenuationDb, kaiserBeta, kaiserTapCount, lowPassTaps } from '../signal/fir.ts';
import { WIDEST_WHOLE_HZ } from './narrowing.ts';

/** Audio frequency at which the middle of a slice stands: the middle of what is searched. */
export const SLICE_CENTRE_HZ = 1700;
/** A slice's middles lie at most so far apart, so that a burst lies within one of them for as long as a search looks. */
const MOST_SPACING_HZ = 2000;
/** What of a slice passes unharmed, and what must not: it would fold over the audio's zero into what is searched. */
const PASS_HZ = 1425;
const STOP_HZ = 1981;
const ATTENUATION_DB = 50;
/** Phases of the filter where the exact ratio of the rates would need more. */
const MOST_PHASES = 64;
/** Audio samples given out at once. */
const BLOCK_SAMPLES = 512;
/** Samples taken at once. */
const CHUNK = 4096;

const LEAST_RATE_HZ = 8000;

/**
 * Cuts a complex band into overlapping slices, each of them real audio at the working rate with its middle at
 * `SLICE_CENTRE_HZ`: a polyphase filter bank whose transform gives all slices at once, at any ratio of the rates (fred
 * harris, Multirate Signal Processing for Communication Systems, ch. 6). Audio sample n stands for band time n /
 * `WORKING_RATE_HZ`.
 */
export class SliceBank {
  /** Frequency in the band, of each slice, that stands at `SLICE_CENTRE_HZ`. */
  readonly centresHz: readonly number[];
  readonly #count: number;
  readonly #table: readonly Float64Array[];
  readonly #width: number;
  readonly #step: { readonly whole: number; readonly part: number; readonly up: number };
  readonly #fft: ReturnType<typeof createFft>;
  readonly #turnRe: Float64Array;
  readonly #turnIm: Float64Array;
  readonly #blocks: readonly Float32Array[];
  readonly #re: Float32Array;
  readonly #im: Float32Array;
  #filled: number;
  /** Band sample that `#re[0]` is. */
  #first: number;
  #position = 0;
  #remainder = 0;
  #outputs = 0;
  #inBlock = 0;

  /** @throws FiveunitError `sample-rate-out-of-range` unless the rate lies in 8000..`WIDEST_WHOLE_HZ`. */
  constructor(bandRateHz: number) {
    if (!(bandRateHz >= LEAST_RATE_HZ && bandRateHz <= WIDEST_WHOLE_HZ)) {
      const allowed = `${LEAST_RATE_HZ} to ${WIDEST_WHOLE_HZ} Hz can be searched`;
      const message = `the band is sampled at ${bandRateHz} Hz; I/Q of ${allowed}: cut out a narrower band`;
      throw new FiveunitError('sample-rate-out-of-range', message);
    }
    this.#count = 2 ** Math.ceil(Math.log2(bandRateHz / MOST_SPACING_HZ));
    const spacing = bandRateHz / this.#count;
    this.centresHz = Array.from(
      { length: this.#count },
      (_, k) => spacing * (k < this.#count / 2 ? k : k - this.#count),
    );
    const scale = Number.isInteger(bandRateHz) ? 1 : 1000;
    const common = greatestCommonDivisor(Math.round(bandRateHz * scale), WORKING_RATE_HZ * scale);
    const up = (WORKING_RATE_HZ * scale) / common;
    const down = Math.round(bandRateHz * scale) / common;
    this.#step = { whole: Math.floor(down / up), part: down % up, up };
    const phases = Math.min(up, MOST_PHASES);
    const transition = (STOP_HZ - PASS_HZ) / bandRateHz;
    this.#width = 4 * Math.ceil(kaiserTapCount(ATTENUATION_DB, transition) / 4);
    this.#table = filterPhases(this.#width, phases, (PASS_HZ + STOP_HZ) / 2 / bandRateHz, transition);
    this.#fft = createFft(this.#count);
    this.#turnRe = turns(Math.cos);
    this.#turnIm = turns(Math.sin);
    this.#blocks = this.centresHz.map(() => new Float32Array(BLOCK_SAMPLES));
    this.#re = new Float32Array(this.#width + CHUNK);
    this.#im = new Float32Array(this.#width + CHUNK);
    // Silence before the first sample, so that audio and band begin at one time.
    this.#filled = this.#width / 2 - 1;
    this.#first = -this.#filled;
  }

  /** Takes samples; calls `onBlock` for each slice in turn with audio that must be copied if it is to last. */
  push(re: Float32Array, im: Float32Array, onBlock: (slice: number, audio: Float32Array) => void): void {
    for (let at = 0; at < re.length; at += CHUNK) {
      this.#re.set(re.subarray(at, at + CHUNK), this.#filled);
      this.#im.set(im.subarray(at, at + CHUNK), this.#filled);
      this.#filled += Math.min(CHUNK, re.length - at);
      this.#run(onBlock);
    }
  }

  /** Gives what the filter still holds. */
  end(onBlock: (slice: number, audio: Float32Array) => void): void {
    const silence = new Float32Array(this.#width / 2);
    this.push(silence, silence, onBlock);
    this.#giveOut(onBlock);
  }

  #run(onBlock: (slice: number, audio: Float32Array) => void): void {
    const { whole, part, up } = this.#step;
    while (this.#position + this.#width <= this.#filled) {
      const phase = Math.round((this.#remainder / up) * (this.#table.length - 1));
      fold(this.#re, this.#im, this.#position, this.#first, this.#table[phase], this.#fft.input);
      this.#fft.run();
      const turn = this.#outputs % this.#turnRe.length;
      unfold(this.#fft.output, this.#turnRe[turn], this.#turnIm[turn], this.#blocks, this.#inBlock);
      this.#outputs++;
      this.#inBlock++;
      if (this.#inBlock === BLOCK_SAMPLES) this.#giveOut(onBlock);
      this.#position += whole;
      this.#remainder += part;
      if (this.#remainder >= up) {
        this.#remainder -= up;
        this.#position++;
      }
    }
    const spent = Math.min(this.#position, this.#filled);
    this.#re.copyWithin(0, spent, this.#filled);
    this.#im.copyWithin(0, spent, this.#filled);
    this.#filled -= spent;
    this.#position -= spent;
    this.#first += spent;
  }

  #giveOut(onBlock: (slice: number, audio: Float32Array) => void): void {
    const length = this.#inBlock;
    this.#inBlock = 0;
    if (length === 0) return;
    for (let slice = 0; slice < this.#count; slice++) onBlock(slice, this.#blocks[slice].subarray(0, length));
  }
}

/**
 * Weighs samples from `at` on and adds them up by their number in the band modulo the transform's length, a power of two no
 * longer than the filter.
 */
function fold(
  re: Float32Array,
  im: Float32Array,
  at: number,
  first: number,
  taps: Float64Array,
  sums: Float64Array,
): void {
  const count = sums.length / 2;
  const last = count - 1;
  const place = first + at;
  for (let r = 0; r < count; r++) {
    let a = 0;
    let b = 0;
    for (let i = r; i < taps.length; i += count) {
      a += taps[i] * re[at + i];
      b += taps[i] * im[at + i];
    }
    // The lowest bits of negative numbers, too, count up.
    const s = 2 * ((place + r) & last);
    sums[s] = a;
    sums[s + 1] = b;
  }
}

function unfold(sums: Float64Array, re: number, im: number, blocks: readonly Float32Array[], at: number): void {
  for (let k = 0; k < blocks.length; k++) blocks[k][at] = re * sums[2 * k] - im * sums[2 * k + 1];
}

/** One row of taps for each fraction of a sample that an output may lie behind a whole one. */
function filterPhases(width: number, phases: number, cutoff: number, transition: number): Float64Array[] {
  const beta = kaiserBeta(kaiserAttenuationDb(width, transition));
  const prototype = lowPassTaps(width * phases + 1, cutoff / phases, beta);
  // Output time is that of the sample half a row on; a later one takes taps from further back.
  return Array.from({ length: phases + 1 }, (_, phase) =>
    Float64Array.from({ length: width }, (_, i) => phases * (prototype[i * phases + phases - phase] ?? 0)),
  );
}

function turns(part: (angle: number) => number): Float64Array {
  const period = WORKING_RATE_HZ / greatestCommonDivisor(WORKING_RATE_HZ, SLICE_CENTRE_HZ);
  return Float64Array.from({ length: period }, (_, n) => part((2 * Math.PI * SLICE_CENTRE_HZ * n) / WORKING_RATE_HZ));
}

function greatestCommonDivisor(a: number, b: number): number {
  return b === 0 ? a : greatestCommonDivisor(b, a % b);
}
