import { CODE_COUNT } from '../../teletype/soft-characters.ts';
import { logAdd } from '../total-mass.ts';
import type { CodeGains } from './code-gains.ts';
import { diffusionKernel, type PhaseModel, type PhaseTurn } from './phase-model.ts';
import type { SenderPaths } from './sender-paths.ts';

/** A state so much less likely than the likeliest of its slot adds nothing to the evidence. */
const LEAST_MASS = 1e-13;
/** e to more than this is no number any more. */
const MOST_EXPONENT = 700;

/**
 * The layout and the phase together, walked forwards or backwards over the slots of a burst. A place is (slot, state,
 * phase bin); the vectors over phase bins are what makes a wrong element be contradicted by all that follow.
 */
export class PhaseTrellis {
  readonly paths: SenderPaths;
  readonly gains: CodeGains;
  readonly bins: number;
  /** Slots that a frame may take here. */
  readonly slots: number;
  private readonly slip: number;
  private readonly kernel: Float64Array;
  private readonly mixed: Float64Array;

  private readonly scratch: TrellisScratch;

  /** @param scratch may serve one trellis after the other; its own when left out. */
  constructor(paths: SenderPaths, gains: CodeGains, model: PhaseModel, scratch?: TrellisScratch) {
    this.paths = paths;
    this.gains = gains;
    this.bins = gains.bins;
    this.slots = Math.min(gains.slots, paths.codesAt.length);
    this.slip = model.slip;
    this.kernel = diffusionKernel(gains.bins, model.diffusion);
    this.mixed = new Float64Array(gains.bins);
    this.scratch = scratch ?? new TrellisScratch(paths, gains.bins);
  }

  /** ln of the evidence of all frames of the layout that begin in slot 0, over random keying. */
  evidence(): number {
    const { bins, paths, mixed } = this;
    const { firstGroup, groups, statesAt, ends, graph } = paths;
    let { here, next } = this.scratch;
    here.fill(0);
    for (const start of graph.starts) here.fill(1 / bins / graph.starts.length, start * bins, (start + 1) * bins);
    let scale = 0;
    let ended = Number.NEGATIVE_INFINITY;
    for (let slot = 0; slot < this.slots; slot++) {
      const reached = statesAt[slot + 1];
      for (const state of reached) next.fill(0, state * bins, (state + 1) * bins);
      for (const state of statesAt[slot]) {
        if (ends[state] === 1 || sumOf(here, state * bins, bins) < LEAST_MASS) continue;
        this.mix(here, state * bins, mixed, 0);
        for (let group = firstGroup[state]; group < firstGroup[state + 1]; group++) {
          this.keyAny(slot, group, next, groups.to[group] * bins);
        }
      }
      const most = rescale(next, reached, bins);
      if (most === 0) break;
      scale += Math.log(most);
      for (const end of graph.ends) {
        const sum = sumOf(next, end * bins, bins);
        if (sum > 0 && reached.includes(end)) ended = logAdd(ended, Math.log(sum) + scale);
      }
      [here, next] = [next, here];
    }
    return ended;
  }

  /** Any code of a group: adds what becomes of the mixed vector to another. */
  private keyAny(slot: number, group: number, to: Float64Array, toAt: number): void {
    const { bins, gains, mixed, scratch } = this;
    const { firstCode, codes, weight } = this.paths.groups;
    const first = firstCode[group];
    const end = firstCode[group + 1];
    const turn = gains.turnOfCode[codes[first]];
    const row = (slot * CODE_COUNT + codes[first]) * bins;
    if (end === first + 1) {
      keyInto(mixed, 0, gains.gains, row, weight[group], turn, to, toAt, bins);
      return;
    }
    const { summed } = scratch;
    for (let b = 0; b < bins; b++) summed[b] = gains.gains[row + b];
    for (let i = first + 1; i < end; i++) addInto(gains.gains, (slot * CODE_COUNT + codes[i]) * bins, summed, bins);
    keyInto(mixed, 0, summed, 0, weight[group], turn, to, toAt, bins);
  }

  /** What becomes of a vector over phases from one character to the next: it spreads, and may be lost. */
  mix(from: Float64Array, fromAt: number, to: Float64Array, toAt: number): void {
    const { bins, kernel, slip } = this;
    const reach = (kernel.length - 1) >> 1;
    const lost = (slip * sumOf(from, fromAt, bins)) / bins;
    for (let b = 0; b < bins; b++) {
      let sum = 0;
      for (let k = -reach; k <= reach; k++) {
        let at = b + k;
        if (at < 0) at += bins;
        else if (at >= bins) at -= bins;
        sum += kernel[k + reach] * from[fromAt + at];
      }
      to[toAt + b] = (1 - slip) * sum + lost;
    }
  }

  /** One certain code: adds what becomes of a mixed vector to another. */
  key(
    slot: number,
    code: number,
    weight: number,
    mixed: Float64Array,
    mixedAt: number,
    to: Float64Array,
    toAt: number,
  ): void {
    const { bins, gains } = this;
    const row = (slot * CODE_COUNT + code) * bins;
    keyInto(mixed, mixedAt, gains.gains, row, weight, gains.turnOfCode[code], to, toAt, bins);
  }

  /**
   * For every slot and state, the evidence of all that may follow, by phase: `value[(slot * stateCount + state) * bins + b]`
   * times exp(`scale[slot]`).
   */
  backward(): Ahead {
    const { bins, paths, slots } = this;
    const { firstMove, statesAt, graph } = paths;
    const width = graph.stateCount * bins;
    const value = new Float64Array((slots + 1) * width);
    const scale = new Float64Array(slots + 1);
    const ahead = { value, scale };
    const sum = new Float64Array(bins);
    const vector = new Float64Array(bins);
    for (let slot = slots; slot >= 0; slot--) {
      const row = slot * width;
      if (slot < slots) {
        scale[slot] = scale[slot + 1];
        for (const state of statesAt[slot]) {
          sum.fill(0);
          for (let move = firstMove[state]; move < firstMove[state + 1]; move++) {
            this.before(ahead, slot, move, vector);
            for (let b = 0; b < bins; b++) sum[b] += vector[b];
          }
          // Spreading is symmetric: the same forwards and backwards.
          this.mix(sum, 0, value, row + state * bins);
        }
        const most = rescale(value.subarray(row, row + width), statesAt[slot], bins);
        if (most > 0) scale[slot] += Math.log(most);
      }
      const one = Math.exp(Math.min(MOST_EXPONENT, -scale[slot]));
      for (const end of graph.ends) value.fill(one, row + end * bins, row + (end + 1) * bins);
    }
    return ahead;
  }

  /** Evidence of one move in a slot and all that may follow, by the phase before it (not mixed yet). */
  before({ value }: Ahead, slot: number, move: number, out: Float64Array, outAt = 0): void {
    const { bins, gains, paths } = this;
    const code = paths.moves.code[move];
    const after = ((slot + 1) * paths.graph.stateCount + paths.moves.to[move]) * bins;
    const row = (slot * CODE_COUNT + code) * bins;
    const weight = paths.moves.weight[move];
    const { whole, part } = gains.turnOfCode[code];
    for (let b = 0, low = whole; b < bins; b++) {
      const high = low + 1 === bins ? 0 : low + 1;
      out[outAt + b] = weight * gains.gains[row + b] * ((1 - part) * value[after + low] + part * value[after + high]);
      low = high;
    }
  }
}

/** Arrays for walking a layout forwards. */
export class TrellisScratch {
  readonly here: Float64Array;
  readonly next: Float64Array;
  readonly summed: Float64Array;

  constructor({ graph }: SenderPaths, bins: number) {
    this.here = new Float64Array(graph.stateCount * bins);
    this.next = new Float64Array(this.here.length);
    this.summed = new Float64Array(bins);
  }
}

/** Evidence of what is still to come. */
export interface Ahead {
  readonly value: Float64Array;
  readonly scale: Float64Array;
}

/** Weighs each phase by how well it explains the signal under a code, and turns it by the code's spaces. */
function keyInto(
  from: Float64Array,
  fromAt: number,
  gains: Float64Array,
  row: number,
  weight: number,
  { whole, part }: PhaseTurn,
  to: Float64Array,
  toAt: number,
  bins: number,
): void {
  const stay = 1 - part;
  for (let b = 0, low = whole; b < bins; b++) {
    const high = low + 1 === bins ? 0 : low + 1;
    const x = weight * from[fromAt + b] * gains[row + b];
    to[toAt + low] += stay * x;
    to[toAt + high] += part * x;
    low = high;
  }
}

function addInto(from: Float64Array, fromAt: number, to: Float64Array, count: number): void {
  for (let i = 0; i < count; i++) to[i] += from[fromAt + i];
}

export function sumOf(values: Float64Array, at: number, count: number): number {
  let sum = 0;
  for (let i = at; i < at + count; i++) sum += values[i];
  return sum;
}

/** Brings the largest entry of these states' vectors to one; returns what it was. */
function rescale(values: Float64Array, states: Int32Array, bins: number): number {
  let most = 0;
  for (const state of states) {
    for (let i = state * bins; i < (state + 1) * bins; i++) if (values[i] > most) most = values[i];
  }
  if (most === 0) return 0;
  const factor = 1 / most;
  for (const state of states) for (let i = state * bins; i < (state + 1) * bins; i++) values[i] *= factor;
  return most;
}
