import { type BurstLevel, presence, withLoss } from '../signal/burst-level.ts';
import { ELEMENTS_PER_SLOT } from './soft-characters.ts';

/** Magnitudes of both tones in all elements of all slots, by `slot * 7 + element`. */
export interface ElementMagnitudes {
  readonly mark: Float64Array;
  readonly space: Float64Array;
}

/** How strong each tone was in each slot, as far as the slots around it and its own start and stop say. */
export interface LevelTrack {
  /** Levels over those of the whole burst. */
  readonly ratios: Float64Array;
  /** Probability of each level, by `slot * ratios.length + level`. */
  readonly mark: Float64Array;
  readonly space: Float64Array;
  readonly noisePower: number;
}

/** How a path is thought to fade: both tones as one or each for itself, by so much (dB, standard deviation) from slot to slot. */
interface FadingLaw {
  readonly isFlat: boolean;
  readonly stepDb: number;
}

const STEADY: FadingLaw = { isFlat: false, stepDb: 0 };
const LAWS: readonly FadingLaw[] = [
  { isFlat: false, stepDb: 0.8 },
  { isFlat: false, stepDb: 2.5 },
  { isFlat: true, stepDb: 0.8 },
  { isFlat: true, stepDb: 2.5 },
];

const GRID_DB = 1.5;
const LOWEST_DB = -21;
const LEVELS = 21;
const RATIOS = Float64Array.from({ length: LEVELS }, (_, i) => 10 ** ((LOWEST_DB + i * GRID_DB) / 20));
/** Nats that fading must explain more than a steady level does. */
const LEAST_GAIN = 8;
/** Steady levels give 1, give or take a fifth. */
const LEAST_SPREAD = 1.25;

/**
 * Follows the levels of both tones through a burst: a hidden Markov chain over a grid of levels, of which each slot's
 * elements are what is seen (forward-backward algorithm, Rabiner, Proc. IEEE 77 (1989) 257). Data elements count as mark or
 * space, either as likely, so that no decision feeds back. Null where a steady level explains the burst as well.
 */
export function trackLevels(seen: ElementMagnitudes, level: BurstLevel): LevelTrack | null {
  if (powerSpread(seen, level) < LEAST_SPREAD) return null;
  const first = bestTrack(seen, level);
  if (!first) return null;
  // Noise was measured as if the level were steady; with the levels known it is measured again.
  return bestTrack(seen, { ...level, noisePower: noiseUnder(seen, level, first) }) ?? first;
}

/** Spread of the slots' powers over that which noise gives a steady level: a glance before the work of following them. */
function powerSpread({ mark, space }: ElementMagnitudes, { markLevel, spaceLevel, noisePower }: BurstLevel): number {
  const slots = mark.length / ELEMENTS_PER_SLOT;
  const signal = (markLevel * markLevel + spaceLevel * spaceLevel) / 2;
  let sum = 0;
  let squares = 0;
  for (let slot = 0; slot < slots; slot++) {
    let power = 0;
    for (let i = slot * ELEMENTS_PER_SLOT; i < (slot + 1) * ELEMENTS_PER_SLOT; i++) {
      power += mark[i] * mark[i] + space[i] * space[i];
    }
    sum += power;
    squares += power * power;
  }
  const variance = (squares - (sum * sum) / slots) / Math.max(1, slots - 1);
  // |z|^2 of a tone in noise has the variance 2 signal noise + noise^2, that of noise alone noise^2.
  return variance / (ELEMENTS_PER_SLOT * 2 * noisePower * (signal + noisePower));
}

function bestTrack(seen: ElementMagnitudes, level: BurstLevel): LevelTrack | null {
  const chain = new LevelChain(seen, level);
  const steady = chain.evidence(STEADY);
  const evidences = LAWS.map((law) => chain.evidence(law));
  const most = Math.max(...evidences);
  if (most < steady + LEAST_GAIN) return null;
  return { ratios: RATIOS, ...chain.posterior(LAWS[evidences.indexOf(most)]), noisePower: level.noisePower };
}

/** ln of the likelihood of a magnitude over noise alone, the level being one of `levels` with these probabilities. */
export function presenceUnder(
  magnitude: number,
  level: number,
  noisePower: number,
  ratios: Float64Array,
  probabilities: Float64Array,
  at: number,
): number {
  let sum = 0;
  for (let i = 0; i < ratios.length; i++) {
    if (probabilities[at + i] < 1e-9) continue;
    sum += probabilities[at + i] * Math.exp(presence(magnitude, level * ratios[i], noisePower));
  }
  return Math.log(Math.max(sum, 1e-300));
}

/** Log-likelihood ratios of mark against space for all elements, levels as tracked. */
export function trackedLlr(seen: ElementMagnitudes, level: BurstLevel, track: LevelTrack): Float32Array {
  const { ratios, noisePower } = track;
  const llr = new Float32Array(seen.mark.length);
  for (let i = 0; i < llr.length; i++) {
    const at = Math.floor(i / ELEMENTS_PER_SLOT) * ratios.length;
    llr[i] =
      withLoss(presenceUnder(seen.mark[i], level.markLevel, noisePower, ratios, track.mark, at)) -
      withLoss(presenceUnder(seen.space[i], level.spaceLevel, noisePower, ratios, track.space, at));
  }
  return llr;
}

function noiseUnder(seen: ElementMagnitudes, level: BurstLevel, track: LevelTrack): number {
  const llr = trackedLlr(seen, level, track);
  let sum = 0;
  for (let i = 0; i < llr.length; i++) {
    const mark = 1 / (1 + Math.exp(-llr[i]));
    sum += mark * seen.space[i] ** 2 + (1 - mark) * seen.mark[i] ** 2;
  }
  return Math.max(sum / Math.max(1, llr.length), 1e-30);
}

/** The chain of one burst; a state is a level of mark and a level of space, `mark * LEVELS + space`. */
class LevelChain {
  private readonly slots: number;
  /** Likelihood of each slot in each state, and of its start and stop alone, each over its largest. */
  private readonly whole: Float64Array;
  private readonly ends: Float64Array;
  private readonly scale: Float64Array;

  constructor({ mark, space }: ElementMagnitudes, { markLevel, spaceLevel, noisePower }: BurstLevel) {
    this.slots = mark.length / ELEMENTS_PER_SLOT;
    this.whole = new Float64Array(this.slots * LEVELS * LEVELS);
    this.ends = new Float64Array(this.whole.length);
    this.scale = new Float64Array(this.slots);
    const byMark = new Float64Array(ELEMENTS_PER_SLOT * LEVELS);
    const bySpace = new Float64Array(byMark.length);
    for (let slot = 0; slot < this.slots; slot++) {
      for (let element = 0; element < ELEMENTS_PER_SLOT; element++) {
        const i = slot * ELEMENTS_PER_SLOT + element;
        let most = 0;
        for (let a = 0; a < LEVELS; a++) {
          const row = element * LEVELS + a;
          byMark[row] = presence(mark[i], markLevel * RATIOS[a], noisePower);
          bySpace[row] = presence(space[i], spaceLevel * RATIOS[a], noisePower);
          most = Math.max(most, byMark[row], bySpace[row]);
        }
        this.scale[slot] += most;
        for (let a = 0; a < LEVELS; a++) {
          const row = element * LEVELS + a;
          byMark[row] = Math.exp(byMark[row] - most);
          bySpace[row] = Math.exp(bySpace[row] - most);
        }
      }
      this.fillSlot(slot, byMark, bySpace);
    }
  }

  private fillSlot(slot: number, byMark: Float64Array, bySpace: Float64Array): void {
    const stop = (ELEMENTS_PER_SLOT - 1) * LEVELS;
    for (let a = 0; a < LEVELS; a++) {
      for (let b = 0; b < LEVELS; b++) {
        const state = (slot * LEVELS + a) * LEVELS + b;
        const ends = byMark[stop + a] * bySpace[b];
        let likelihood = ends;
        for (let element = LEVELS; element < stop; element += LEVELS) {
          likelihood *= 0.5 * (byMark[element + a] + bySpace[element + b]);
        }
        this.ends[state] = ends;
        this.whole[state] = likelihood;
      }
    }
  }

  /** ln of the likelihood of the burst over noise alone. */
  evidence(law: FadingLaw): number {
    return this.walk(law, 1, () => {});
  }

  /** Levels in each slot by the slots around it and its own start and stop. */
  posterior(law: FadingLaw): Pick<LevelTrack, 'mark' | 'space'> {
    const states = LEVELS * LEVELS;
    const around = new Float64Array(this.slots * states).fill(1);
    for (const direction of [1, -1] as const) {
      this.walk(law, direction, (slot, predicted) => {
        for (let state = 0; state < states; state++) around[slot * states + state] *= predicted[state];
      });
    }
    const mark = new Float64Array(this.slots * LEVELS);
    const space = new Float64Array(mark.length);
    for (let slot = 0; slot < this.slots; slot++) {
      let sum = 0;
      for (let state = 0; state < states; state++)
        sum += around[slot * states + state] * this.ends[slot * states + state];
      for (let a = 0; a < LEVELS; a++) {
        for (let b = 0; b < LEVELS; b++) {
          const at = (slot * LEVELS + a) * LEVELS + b;
          const share = sum > 0 ? (around[at] * this.ends[at]) / sum : 1 / states;
          mark[slot * LEVELS + a] += share;
          space[slot * LEVELS + b] += share;
        }
      }
    }
    return { mark, space };
  }

  /** Walks the chain and tells, before each slot counts, what the slots before it say of its state. Returns the evidence. */
  private walk(
    { isFlat, stepDb }: FadingLaw,
    direction: 1 | -1,
    onSlot: (slot: number, predicted: Float64Array) => void,
  ): number {
    const states = LEVELS * LEVELS;
    const kernel = stepKernel(stepDb);
    let here: Float64Array = priorOf(isFlat);
    let next: Float64Array = new Float64Array(states);
    let evidence = 0;
    for (let i = 0; i < this.slots; i++) {
      const slot = direction === 1 ? i : this.slots - 1 - i;
      onSlot(slot, here);
      let sum = 0;
      for (let state = 0; state < states; state++) {
        here[state] *= this.whole[slot * states + state];
        sum += here[state];
      }
      if (!(sum > 0)) return Number.NEGATIVE_INFINITY;
      evidence += Math.log(sum) + this.scale[slot];
      for (let state = 0; state < states; state++) here[state] /= sum;
      if (stepDb > 0) {
        if (isFlat) stepTogether(here, next, kernel);
        else stepApart(here, next, kernel);
        [here, next] = [next, here];
      }
    }
    return evidence;
  }
}

/** Any level is as likely; where both tones fade as one, they may differ by a few decibels. */
function priorOf(isFlat: boolean): Float64Array {
  const prior = new Float64Array(LEVELS * LEVELS);
  let sum = 0;
  for (let a = 0; a < LEVELS; a++) {
    for (let b = 0; b < LEVELS; b++) {
      prior[a * LEVELS + b] = !isFlat || Math.abs(a - b) * GRID_DB <= FLAT_DB ? 1 : 0;
      sum += prior[a * LEVELS + b];
    }
  }
  return prior.map((each) => each / sum);
}

const FLAT_DB = 3;

/** Probabilities of moving by -reach..reach levels from slot to slot. */
function stepKernel(stepDb: number): Float64Array {
  const deviation = stepDb / GRID_DB;
  const reach = Math.max(1, Math.ceil(3 * deviation));
  const kernel = Float64Array.from({ length: 2 * reach + 1 }, (_, i) =>
    stepDb === 0 ? Number(i === reach) : Math.exp(-0.5 * ((i - reach) / deviation) ** 2),
  );
  const sum = kernel.reduce((total, each) => total + each, 0);
  return kernel.map((each) => each / sum);
}

/** Each tone moves for itself; what would leave the grid stays at its edge. */
function stepApart(from: Float64Array, to: Float64Array, kernel: Float64Array): void {
  const reach = kernel.length >> 1;
  const half = STEP_SCRATCH.fill(0);
  for (let a = 0; a < LEVELS; a++) {
    for (let k = -reach; k <= reach; k++) {
      const target = Math.min(LEVELS - 1, Math.max(0, a + k)) * LEVELS;
      const weight = kernel[k + reach];
      for (let b = 0; b < LEVELS; b++) half[target + b] += weight * from[a * LEVELS + b];
    }
  }
  to.fill(0);
  for (let b = 0; b < LEVELS; b++) {
    for (let k = -reach; k <= reach; k++) {
      const target = Math.min(LEVELS - 1, Math.max(0, b + k));
      const weight = kernel[k + reach];
      for (let a = 0; a < LEVELS; a++) to[a * LEVELS + target] += weight * half[a * LEVELS + b];
    }
  }
}

/** Both tones move by the same; their distance stays, but at the edges. */
function stepTogether(from: Float64Array, to: Float64Array, kernel: Float64Array): void {
  const reach = kernel.length >> 1;
  to.fill(0);
  for (let a = 0; a < LEVELS; a++) {
    for (let b = 0; b < LEVELS; b++) {
      const mass = from[a * LEVELS + b];
      if (mass < 1e-15) continue;
      for (let k = -reach; k <= reach; k++) {
        // Neither tone may leave the grid, or their distance would be lost.
        const by = Math.min(Math.max(k, -Math.min(a, b)), LEVELS - 1 - Math.max(a, b));
        to[(a + by) * LEVELS + b + by] += kernel[k + reach] * mass;
      }
    }
  }
}

const STEP_SCRATCH = new Float64Array(LEVELS * LEVELS);
