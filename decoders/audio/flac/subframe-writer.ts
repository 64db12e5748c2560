import type { BitWriter } from './bit-writer.ts';

/** Partitions of the residual in one block: enough to follow how loud a burst is. */
const PARTITION_ORDER = 4;
const MOST_ORDER = 4;
/** The largest of the parameters that are coded in four bits; 15 is the escape code. */
const MOST_PARAMETER = 14;

/** Room that a channel of a block needs while it is coded. */
export class SubframeWriter {
  readonly #residuals: readonly Int32Array[];
  #order = 0;

  constructor(mostSamples: number) {
    this.#residuals = Array.from({ length: MOST_ORDER + 1 }, () => new Int32Array(mostSamples));
  }

  /**
   * Chooses the fixed predictor for the first `count` samples (RFC 9639 section 9.2.5).
   *
   * @returns the sum of what it misses: the less, the fewer bits.
   */
  choose(samples: Int32Array, count: number): number {
    const [plain] = this.#residuals;
    plain.set(samples.subarray(0, count));
    let least = Number.POSITIVE_INFINITY;
    for (let order = 0; order <= Math.min(MOST_ORDER, count - 1); order++) {
      if (order > 0) differences(this.#residuals[order - 1], this.#residuals[order], order, count);
      const missed = sumOfMagnitudes(this.#residuals[order], order, count);
      if (missed >= least) continue;
      least = missed;
      this.#order = order;
    }
    return least;
  }

  /** Writes the samples that were given to `choose`, `bits` each. */
  write(samples: Int32Array, count: number, bits: number, out: BitWriter): void {
    if (isConstant(samples, count)) {
      out.put(0, 8);
      out.put(samples[0], bits);
      return;
    }
    const order = this.#order;
    const residual = this.#residuals[order];
    const partitionOrder = count % 2 ** PARTITION_ORDER === 0 && count >> PARTITION_ORDER > order ? PARTITION_ORDER : 0;
    const size = count >> partitionOrder;
    const parameters = Array.from({ length: 2 ** partitionOrder }, (_, i) =>
      riceParameter(residual, Math.max(order, i * size), (i + 1) * size),
    );
    const codedBits = parameters.reduce((sum, { codedBits }) => sum + 4 + codedBits, order * bits + 6);
    if (codedBits >= count * bits) {
      out.put(1 << 1, 8);
      for (let i = 0; i < count; i++) out.put(samples[i], bits);
      return;
    }
    out.put((8 + order) << 1, 8);
    for (let i = 0; i < order; i++) out.put(samples[i], bits);
    out.put(0, 2);
    out.put(partitionOrder, 4);
    for (const [i, { parameter }] of parameters.entries()) {
      out.put(parameter, 4);
      out.rice(parameter, residual, Math.max(order, i * size), (i + 1) * size);
    }
  }
}

function differences(from: Int32Array, to: Int32Array, order: number, count: number): void {
  for (let i = order; i < count; i++) to[i] = from[i] - from[i - 1];
}

function sumOfMagnitudes(values: Int32Array, from: number, to: number): number {
  let sum = 0;
  for (let i = from; i < to; i++) sum += Math.abs(values[i]);
  return sum;
}

function isConstant(samples: Int32Array, count: number): boolean {
  for (let i = 1; i < count; i++) if (samples[i] !== samples[0]) return false;
  return true;
}

/** The Rice parameter for which the values from `from` to before `to` take the fewest bits, and how many these are at most. */
function riceParameter(values: Int32Array, from: number, to: number): { parameter: number; codedBits: number } {
  const count = to - from;
  // Folded values are twice the magnitudes, or one less.
  const sum = 2 * sumOfMagnitudes(values, from, to);
  let best = { parameter: 0, codedBits: Number.POSITIVE_INFINITY };
  for (let parameter = 0; parameter <= MOST_PARAMETER; parameter++) {
    const codedBits = count * (parameter + 1) + sum / 2 ** parameter;
    if (codedBits < best.codedBits) best = { parameter, codedBits };
  }
  return best;
}
