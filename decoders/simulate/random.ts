/**
 * Seeded pseudo-random numbers for everything that is simulated: the same seed gives the same numbers, so that a figure
 * in a table can be had again.
 *
 * Generator: sfc32 (Doty-Humphrey, PractRand), 128 bits of state, additions and shifts only, which 32-bit integer
 * arithmetic does exactly alike on every machine. Gaussian numbers: the ziggurat of Marsaglia and Tsang (J. Stat.
 * Software 5(8), 2000) with 128 layers, index and value taken from different bits of the draw as Doornik (2005) asks.
 * Its layer borders come from Math.exp and Math.log, whose last bit the language leaves open; rounded to float32
 * samples that is invisible but for a chance of about 1e-8 a sample.
 */
export class Random {
  readonly #state = new Int32Array(4);
  readonly #seed: number;
  /** Hash of the labels that lead to this branch. */
  #path = 0x811c9dc5;

  /** @param seed any finite number; its whole value counts, 1 and 1.5 give different sequences. */
  constructor(seed: number) {
    this.#seed = seed;
    const halves = new Int32Array(new Float64Array([seed]).buffer);
    this.#state.set([halves[0], halves[1], 0x9e3779b9 | 0, 1]);
    for (let i = 0; i < 16; i++) next(this.#state);
  }

  /** 32 random bits, 0..2^32-1. */
  bits(): number {
    return next(this.#state) >>> 0;
  }

  /** Uniform in [0, 1), a multiple of 2^-53; or in [low, high). */
  uniform(low = 0, high = 1): number {
    const upper = next(this.#state) >>> 5;
    const lower = next(this.#state) >>> 6;
    return low + (high - low) * ((upper * 0x4000000 + lower) / 0x20000000000000);
  }

  /** Whole number, uniform in 0..below-1. `below` is 1..2^32. */
  integer(below: number): number {
    return Math.floor(this.uniform() * below);
  }

  /** One of `choices`, all equally likely. */
  pick<T>(choices: readonly T[]): T {
    return choices[this.integer(choices.length)];
  }

  /** Gaussian, mean 0, variance 1. */
  gaussian(): number {
    return nextGaussian(this.#state);
  }

  /** Adds white Gaussian noise of standard deviation `sigma` to every sample. */
  addGaussian(samples: Float32Array, sigma: number): void {
    const state = this.#state;
    for (let i = 0; i < samples.length; i++) samples[i] += sigma * nextGaussian(state);
  }

  /**
   * An independent sequence that belongs to `label`, whatever has been drawn so far: two things that draw from branches
   * of their own do not disturb each other's numbers.
   */
  branch(label: string): Random {
    // FNV-1a, a zero between the labels.
    let path = Math.imul(this.#path, 0x01000193);
    for (let i = 0; i < label.length; i++) path = Math.imul(path ^ label.charCodeAt(i), 0x01000193);
    const branch = new Random(this.#seed);
    branch.#path = path;
    branch.#state[2] ^= path;
    for (let i = 0; i < 16; i++) next(branch.#state);
    return branch;
  }
}

function next(state: Int32Array): number {
  const sum = (state[0] + state[1] + state[3]) | 0;
  state[3] = (state[3] + 1) | 0;
  state[0] = state[1] ^ (state[1] >>> 9);
  state[1] = (state[2] + (state[2] << 3)) | 0;
  state[2] = (((state[2] << 21) | (state[2] >>> 11)) + sum) | 0;
  return sum;
}

const LAYERS = 128;
/** Start of the tail and area of each layer for 128 layers: Marsaglia and Tsang 2000. */
const TAIL_START = 3.442619855899;
const LAYER_AREA = 9.91256303526217e-3;

/** Right edges of the layers, widest first; the share of each layer that lies wholly under the curve. */
const EDGE = new Float64Array(LAYERS + 1);
const SAFE = new Float64Array(LAYERS);
{
  let density = Math.exp(-0.5 * TAIL_START * TAIL_START);
  EDGE[0] = LAYER_AREA / density;
  EDGE[1] = TAIL_START;
  for (let i = 2; i < LAYERS; i++) {
    EDGE[i] = Math.sqrt(-2 * Math.log(LAYER_AREA / EDGE[i - 1] + density));
    density = Math.exp(-0.5 * EDGE[i] * EDGE[i]);
  }
  for (let i = 0; i < LAYERS; i++) SAFE[i] = EDGE[i + 1] / EDGE[i];
}

function nextGaussian(state: Int32Array): number {
  for (;;) {
    const draw = next(state);
    const layer = draw & 127;
    const u = ((draw >> 7) + 0.5) / 0x1000000;
    if (Math.abs(u) < SAFE[layer]) return u * EDGE[layer];
    if (layer === 0) return u < 0 ? -tail(state) : tail(state);
    const x = u * EDGE[layer];
    const lower = Math.exp(-0.5 * (EDGE[layer] * EDGE[layer] - x * x));
    const upper = Math.exp(-0.5 * (EDGE[layer + 1] * EDGE[layer + 1] - x * x));
    if (lower + unit(state) * (upper - lower) < 1) return x;
  }
}

function tail(state: Int32Array): number {
  for (;;) {
    const x = -Math.log(unit(state)) / TAIL_START;
    const y = -Math.log(unit(state));
    if (2 * y >= x * x) return TAIL_START + x;
  }
}

/** Uniform in (0, 1). */
function unit(state: Int32Array): number {
  return ((next(state) >>> 0) + 0.5) / 0x100000000;
}
