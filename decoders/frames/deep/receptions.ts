import { type Ahead, type PhaseTrellis, sumOf } from './phase-trellis.ts';
import type { SenderPaths } from './sender-paths.ts';

/** One reception: its trellis, what may follow, and where its phases stand in a reading's vector. */
interface Reception {
  readonly trellis: PhaseTrellis;
  readonly ahead: Ahead;
  readonly at: number;
}

/**
 * Receptions of one frame that begins in slot 0 of each, walked together. A reading has one vector of `width` numbers: its phases in
 * one reception after the other. Vectors stand one after the other in an array and are given by it and the index of their first number.
 */
export class Receptions {
  readonly paths: SenderPaths;
  readonly count: number;
  /** Slots that a frame may take in all of them. */
  readonly slots: number;
  readonly width: number;
  private readonly each: readonly Reception[];
  /** Mixed vectors of readings, by row; and of each move, the evidence of all behind it. */
  private readonly mixed: Float64Array;
  private readonly behind: Float64Array;
  private readonly behindSlot: Int32Array;

  /** @param rows vectors that are mixed at a time, at most. */
  constructor(trellises: readonly PhaseTrellis[], rows: number) {
    const [{ paths }] = trellises;
    let width = 0;
    this.each = trellises.map((trellis) => {
      const at = width;
      width += trellis.bins;
      return { trellis, ahead: trellis.backward(), at };
    });
    this.paths = paths;
    this.count = trellises.length;
    this.slots = Math.min(...trellises.map(({ slots }) => slots));
    this.width = width;
    this.mixed = new Float64Array(rows * width);
    this.behind = new Float64Array(paths.moves.code.length * width);
    this.behindSlot = new Int32Array(paths.moves.code.length).fill(-1);
  }

  /** So many vectors of which nothing is known yet. */
  startVectors(count: number): Float64Array {
    const vectors = new Float64Array(count * this.width);
    for (let i = 0; i < count; i++) {
      for (const { at, trellis } of this.each) {
        const from = i * this.width + at;
        vectors.fill(1 / trellis.bins, from, from + trellis.bins);
      }
    }
    return vectors;
  }

  /** A vector times the evidence of all that may follow, which counts times exp(scaleAhead(slot)). */
  valueOf(slot: number, state: number, vectors: Float64Array, from: number): number {
    let value = 1;
    for (const { trellis, ahead, at } of this.each) {
      const row = (slot * this.paths.graph.stateCount + state) * trellis.bins;
      value *= dot(vectors, from + at, ahead.value, row, trellis.bins);
    }
    return value;
  }

  scaleAhead(slot: number): number {
    return this.each.reduce((sum, { ahead }) => sum + ahead.scale[slot], 0);
  }

  /** Lets a vector pass to the next character; what becomes of it stands in a row for `valueOfMove` and `key`. */
  mix(vectors: Float64Array, from: number, row: number): void {
    for (const { trellis, at } of this.each) trellis.mix(vectors, from + at, this.mixed, row * this.width + at);
  }

  /** A mixed vector times the evidence of a move and all that may follow it. */
  valueOfMove(slot: number, move: number, row: number): number {
    this.lookBehind(slot, move);
    let value = 1;
    for (const { trellis, at } of this.each) {
      value *= dot(this.mixed, row * this.width + at, this.behind, move * this.width + at, trellis.bins);
    }
    // Each reception's evidence of what follows holds the move's prior.
    return value / this.paths.moves.weight[move] ** (this.count - 1);
  }

  /** Keys a code; its prior counts once, however many receptions there are. */
  key(slot: number, code: number, weight: number, row: number, to: Float64Array, toAt: number): void {
    this.each.forEach(({ trellis, at }, i) => {
      trellis.key(slot, code, i === 0 ? weight : 1, this.mixed, row * this.width + at, to, toAt + at);
    });
  }

  /** Product of the receptions' sums over their phases. */
  sumOf(vectors: Float64Array, from: number): number {
    return this.each.reduce((product, { trellis, at }) => product * sumOf(vectors, from + at, trellis.bins), 1);
  }

  /** Brings the largest phase in each reception to one; returns the ln of what was taken out. */
  rescale(vectors: Float64Array): number {
    return this.each.reduce((sum, { trellis, at }) => sum + rescale(vectors, this.width, at, trellis.bins), 0);
  }

  private lookBehind(slot: number, move: number): void {
    if (this.behindSlot[move] === slot) return;
    for (const { trellis, ahead, at } of this.each) {
      trellis.before(ahead, slot, move, this.behind, move * this.width + at);
    }
    this.behindSlot[move] = slot;
  }
}

function dot(a: Float64Array, aAt: number, b: Float64Array, bAt: number, count: number): number {
  let sum = 0;
  for (let i = 0; i < count; i++) sum += a[aAt + i] * b[bAt + i];
  return sum;
}

/** Brings the largest entry of all blocks of `count` that begin at `at` in each row to one; returns the ln of what was taken out. */
function rescale(values: Float64Array, width: number, at: number, count: number): number {
  let most = 0;
  for (let row = at; row < values.length; row += width) {
    for (let i = row; i < row + count; i++) if (values[i] > most) most = values[i];
  }
  if (most === 0) return 0;
  for (let row = at; row < values.length; row += width) {
    for (let i = row; i < row + count; i++) values[i] /= most;
  }
  return Math.log(most);
}
