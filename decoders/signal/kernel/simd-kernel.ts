import type { CellRows, Frames, Kernel, Oscillator, Slots, SymmetricFilter, Tone } from './kernel.ts';
import { oscillatorAt, RENEW_SAMPLES } from './oscillator.ts';
import { SIMD_MODULE } from './simd-module.ts';
import { slotsPerGroup, stepAt } from './tone-groups.ts';

/** What `assembly/index.ts` exports. Places are byte offsets into the memory. */
interface SimdFunctions {
  correlateTone(
    samples: number,
    slotSamples: number,
    count: number,
    group: number,
    turns: number,
    exact: number,
    re: number,
    im: number,
    sumRe: number,
    sumIm: number,
  ): void;
  framePowers(
    samples: number,
    size: number,
    window: number,
    turns: number,
    re: number,
    im: number,
    otherRe: number,
    otherIm: number,
    firstBin: number,
    bins: number,
    powers: number,
  ): void;
  filterDown(
    samples: number,
    length: number,
    factor: number,
    middle: number,
    half: number,
    pairs: number,
    step: number,
    centreTap: number,
    streams: number,
    streamLength: number,
    places: number,
    output: number,
    outputs: number,
  ): void;
  mix(
    samples: number,
    count: number,
    re: number,
    im: number,
    turnRe: number,
    turnIm: number,
    twistRe: number,
    twistIm: number,
    mixed: number,
  ): void;
  filterComplex(
    mixed: number,
    taps: number,
    pairs: number,
    decimation: number,
    outputs: number,
    outRe: number,
    outIm: number,
  ): void;
  boxMean(rows: number, shifts: number, count: number, bins: number, mean: number): void;
}

interface SimdMemory {
  readonly buffer: ArrayBuffer;
  grow(pages: number): number;
}

/** The part of the WebAssembly JavaScript interface that is used here. */
declare const WebAssembly:
  | {
      Module: new (bytes: Uint8Array) => object;
      Memory: new (limits: { initial: number }) => SimdMemory;
      Instance: new (module: object, imports: object) => { readonly exports: unknown };
    }
  | undefined;

const PAGE_BYTES = 65_536;
/** Room for all but the longest windows. */
const FIRST_PAGES = 8;

/** Null where WebAssembly with its vector instructions is missing or forbidden. */
export function createSimdKernel(): Kernel | null {
  if (typeof WebAssembly === 'undefined') return null;
  try {
    const memory = new WebAssembly.Memory({ initial: FIRST_PAGES });
    const { exports } = new WebAssembly.Instance(new WebAssembly.Module(SIMD_MODULE), { env: { memory } });
    return new SimdKernel(memory, exports as SimdFunctions);
  } catch {
    return null;
  }
}

/** Copies what a function works on into the memory, calls it, and copies what it made out again. */
class SimdKernel implements Kernel {
  private readonly memory: SimdMemory;
  private readonly functions: SimdFunctions;
  private floats: Float32Array;
  private doubles: Float64Array;
  private integers: Int32Array;
  /** See `turnsOver`. */
  private turns: Float32Array = new Float32Array(0);
  /** Where the next array begins. */
  private top = 0;

  constructor(memory: SimdMemory, functions: SimdFunctions) {
    this.memory = memory;
    this.functions = functions;
    this.floats = new Float32Array(memory.buffer);
    this.doubles = new Float64Array(memory.buffer);
    this.integers = new Int32Array(memory.buffer);
  }

  correlateTones(samples: Float32Array, slots: Slots, tones: readonly Tone[]): void {
    const { at, samples: slotSamples, count } = slots;
    if (tones.length === 0) return;
    const length = Math.round(count * slotSamples);
    const group = slotsPerGroup(slots);
    const groups = Math.ceil(count / group);
    const table = Math.ceil(slotSamples) + 2;
    this.top = 0;
    const from = this.place(4 * length);
    const turns = this.place(16 * groups);
    const exact = this.place(16 * table);
    const re = this.place(4 * table);
    const im = this.place(4 * table);
    const sumRe = this.place(8 * count);
    const sumIm = this.place(8 * count);
    this.reserve();
    this.floats.set(samples.subarray(at, at + length), from >> 2);
    for (const tone of tones) {
      for (let i = 0; i < groups; i++) {
        const step = stepAt(tone, slots, i * group, Math.min(count, (i + 1) * group));
        this.doubles[(turns >> 3) + 2 * i] = Math.cos(step);
        this.doubles[(turns >> 3) + 2 * i + 1] = Math.sin(step);
      }
      this.functions.correlateTone(from, slotSamples, count, group, turns, exact, re, im, sumRe, sumIm);
      tone.sums.re.set(this.doubles.subarray(sumRe >> 3, (sumRe >> 3) + count));
      tone.sums.im.set(this.doubles.subarray(sumIm >> 3, (sumIm >> 3) + count));
    }
  }

  framePowers(samples: Float32Array, at: number, frames: Frames, powers: readonly Float32Array[]): void {
    const size = frames.window.length;
    const bins = powers[0].length;
    const length = ((powers.length + 1) * size) / 2;
    if (this.turns.length !== 2 * size) this.turns = turnsOver(size);
    this.top = 0;
    const from = this.place(4 * length);
    const window = this.place(4 * size);
    const turns = this.place(8 * size);
    const re = this.place(16 * size);
    const im = this.place(16 * size);
    const otherRe = this.place(16 * size);
    const otherIm = this.place(16 * size);
    const to = this.place(4 * powers.length * bins);
    this.reserve();
    const { floats } = this;
    floats.set(samples.subarray(at, at + length), from >> 2);
    floats.set(frames.window, window >> 2);
    floats.set(this.turns, turns >> 2);
    this.functions.framePowers(from, size, window, turns, re, im, otherRe, otherIm, frames.firstBin, bins, to);
    for (let i = 0; i < powers.length; i++) {
      const row = (to >> 2) + i * bins;
      powers[i].set(floats.subarray(row, row + bins));
    }
  }

  filterDown(filter: SymmetricFilter, samples: Float32Array, outputs: number, output: Float32Array): void {
    const { factor, middle, centreTap, half, step } = filter;
    // Dealt out by twelves, made by sixteens: what lies behind the end is read too, but counts for nothing.
    const streamLength = Math.ceil(samples.length / factor) + 32;
    this.top = 0;
    const from = this.place(4 * (samples.length + 12));
    const taps = this.place(4 * half.length);
    const streams = this.place(4 * factor * streamLength);
    const places = this.place(8 * half.length);
    const to = this.place(4 * (outputs + 16));
    this.reserve();
    const length = Math.min(samples.length, outputs * factor + 2 * middle);
    this.floats.set(samples.subarray(0, length), from >> 2);
    this.floats.set(half, taps >> 2);
    this.functions.filterDown(
      from,
      length,
      factor,
      middle,
      taps,
      half.length,
      step,
      centreTap,
      streams,
      streamLength,
      places,
      to,
      outputs,
    );
    output.set(this.floats.subarray(to >> 2, (to >> 2) + outputs));
  }

  mixDown(
    samples: Float32Array,
    oscillator: Oscillator,
    taps: Float64Array,
    decimation: number,
    re: Float64Array,
    im: Float64Array,
  ): void {
    const pairs = (taps.length - 1) / 2;
    const most = Math.floor(RENEW_SAMPLES / decimation) + 2;
    this.top = 0;
    const from = this.place(4 * RENEW_SAMPLES);
    const half = this.place(8 * (pairs + 1));
    const mixed = this.place(16 * (taps.length + decimation + RENEW_SAMPLES));
    const outRe = this.place(8 * most);
    const outIm = this.place(8 * most);
    this.reserve();
    const { doubles, floats } = this;
    doubles.set(taps.subarray(pairs), half >> 3);
    const twistRe = Math.cos(oscillator.twist);
    const twistIm = Math.sin(oscillator.twist);
    let filled = pairs;
    doubles.fill(0, mixed >> 3, (mixed >> 3) + 2 * filled);
    for (let start = 0, made = 0; made < re.length; start += RENEW_SAMPLES) {
      const piece = samples.subarray(start, start + RENEW_SAMPLES);
      const { phase, turn } = oscillatorAt(oscillator, start);
      const to = mixed + 16 * filled;
      floats.set(piece, from >> 2);
      this.functions.mix(
        from,
        piece.length,
        Math.cos(phase),
        Math.sin(phase),
        Math.cos(turn),
        Math.sin(turn),
        twistRe,
        twistIm,
        to,
      );
      doubles.fill(0, (to >> 3) + 2 * piece.length, (to >> 3) + 2 * RENEW_SAMPLES);
      filled += RENEW_SAMPLES;
      const outputs = Math.min(re.length - made, Math.max(0, Math.floor((filled - taps.length) / decimation) + 1));
      this.functions.filterComplex(mixed, half, pairs, decimation, outputs, outRe, outIm);
      re.set(doubles.subarray(outRe >> 3, (outRe >> 3) + outputs), made);
      im.set(doubles.subarray(outIm >> 3, (outIm >> 3) + outputs), made);
      made += outputs;
      doubles.copyWithin(mixed >> 3, (mixed >> 3) + 2 * outputs * decimation, (mixed >> 3) + 2 * filled);
      filled -= outputs * decimation;
    }
  }

  boxMeans(rows: CellRows, first: number, shears: readonly Int32Array[], means: readonly Float32Array[]): void {
    const { cells, count, margin } = rows;
    const bins = means[0].length;
    const stride = bins + 2 * margin;
    const blocks = shears[0].length;
    this.top = 0;
    const from = this.place(4 * cells.length);
    const places = this.place(4 * blocks);
    const shifts = this.place(4 * blocks);
    const to = this.place(4 * bins);
    this.reserve();
    this.floats.set(cells, from >> 2);
    for (let j = 0; j < blocks; j++) {
      const row = (((first + j) % count) + count) % count;
      this.integers[(places >> 2) + j] = from + 4 * (row * stride + margin);
    }
    for (let i = 0; i < shears.length; i++) {
      this.integers.set(shears[i], shifts >> 2);
      this.functions.boxMean(places, shifts, blocks, bins, to);
      means[i].set(this.floats.subarray(to >> 2, (to >> 2) + bins));
    }
  }

  private place(bytes: number): number {
    const at = this.top;
    this.top = (at + bytes + 15) & ~15;
    return at;
  }

  /** Makes the memory hold what was placed. */
  private reserve(): void {
    const missing = this.top - this.memory.buffer.byteLength;
    if (missing <= 0) return;
    this.memory.grow(Math.ceil(missing / PAGE_BYTES));
    this.floats = new Float32Array(this.memory.buffer);
    this.doubles = new Float64Array(this.memory.buffer);
    this.integers = new Int32Array(this.memory.buffer);
  }
}

/** cos and -sin of k whole turns over `size`, pair by pair. */
function turnsOver(size: number): Float32Array {
  return Float32Array.from({ length: 2 * size }, (_, i) => {
    const angle = (2 * Math.PI * (i >> 1)) / size;
    return i % 2 === 0 ? Math.cos(angle) : -Math.sin(angle);
  });
}
