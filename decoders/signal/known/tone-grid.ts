import type { Band } from './band.ts';

/** Of the energy of keyed tones, rows that begin anywhere in an element hold so much: where the tone changes it is split. */
const KEYED_SHARE = 0.76;

/** Rows of a grid begin so often in an element. */
export const ROWS_PER_ELEMENT = 2;

/**
 * A pair of tones in a band, element by element: row r is the element that starts r half elements into the stream. Held
 * for several offsets of the pair, in rings that are addressed by row number.
 */
export interface ToneGrid {
  /** Rows complete since the beginning. */
  readonly rows: number;
  /** Row r stands at r & mask. */
  readonly mask: number;
  /**
   * Keying by offset: (a - b) / (a + b + n) of the energies a at mark and b at space, n what white noise of the band's
   * energy would put there. Bounded, whatever the level.
   */
  readonly keying: readonly Float32Array[];
  /** Takes in what the band has got since; to be called before the band forgets it. */
  update(): void;
  /**
   * Energy in the tones over what white noise would put there, less one: over `span` rows from row `first + i` on, for each
   * entry i of `out`.
   */
  excess(offset: number, first: number, span: number, out: Float64Array): void;
  /** Eb/N0, as a ratio, of keying that shows such an excess. */
  ebN0Of(excess: number): number;
}

/**
 * @param tonesHz mark and space, from the band's centre.
 * @param offsetsHz of both tones together.
 */
export function createToneGrid(
  band: Band,
  baud: number,
  tonesHz: readonly [markHz: number, spaceHz: number],
  offsetsHz: Float64Array,
  keptSeconds: number,
): ToneGrid {
  const rowSamples = band.rateHz / baud / ROWS_PER_ELEMENT;
  const kept = 2 ** Math.ceil(Math.log2(keptSeconds * ROWS_PER_ELEMENT * baud));
  const mask = kept - 1;
  const offsets = offsetsHz.length;
  const tables = Array.from(offsetsHz, (offset) =>
    tonesHz.map((hz) => turnTable((2 * Math.PI * (hz + offset)) / band.rateHz, Math.ceil(rowSamples) + 1)),
  );
  const noiseShare = band.noiseShare(tonesHz, band.rateHz / baud);
  const keying = Array.from(offsetsHz, () => new Float32Array(kept));
  // Shares of the band's energy up to each row, summed; differences give means.
  const shares = Array.from(offsetsHz, () => new Float64Array(kept));
  // Complex sums over the half element before, two tones an offset, its energy and length.
  const before = new Float64Array(4 * offsets);
  const sums = new Float64Array(2);
  let energyBefore = 0;
  let lengthBefore = 0;
  let halves = 0;
  let from = 0;

  /** Joins the half element up to `to` with the one before to a row. */
  function takeHalf(to: number): void {
    const at = from % band.kept;
    const count = to - from;
    const energy = energyOf(band.re, band.im, at, count);
    const whole = (energy + energyBefore) * (count + lengthBefore);
    const row = (halves - 1) & mask;
    for (let i = 0; i < offsets; i++) {
      const mark = joined(at, count, i, 0);
      const space = joined(at, count, i, 1);
      if (halves === 0) continue;
      const share = whole > 0 ? (mark + space) / whole : 0;
      shares[i][halves & mask] = shares[i][row] + share;
      keying[i][row] = whole > 0 ? (mark - space) / (mark + space + 0.5 * noiseShare * whole) : 0;
    }
    energyBefore = energy;
    lengthBefore = count;
    halves++;
    from = to;
  }

  /** Energy of a tone in the half element at `at` and the one before. */
  function joined(at: number, count: number, offset: number, tone: number): number {
    const table = tables[offset][tone];
    correlate(band.re, band.im, at, count, table, sums);
    const k = 2 * (2 * offset + tone);
    const turnRe = table[2 * lengthBefore];
    const turnIm = table[2 * lengthBefore + 1];
    const re = before[k] + sums[0] * turnRe - sums[1] * turnIm;
    const im = before[k + 1] + sums[0] * turnIm + sums[1] * turnRe;
    before[k] = sums[0];
    before[k + 1] = sums[1];
    return re * re + im * im;
  }

  return {
    get rows() {
      return Math.max(0, halves - 1);
    },
    mask,
    keying,
    update() {
      for (;;) {
        const to = Math.round((halves + 1) * rowSamples);
        if (to > band.written) return;
        takeHalf(to);
      }
    },
    excess(offset, first, span, out) {
      const sums = shares[offset];
      for (let i = 0; i < out.length; i++) {
        const share = (sums[(first + i + span) & mask] - sums[(first + i) & mask]) / span;
        out[i] = share / noiseShare - 1;
      }
    },
    // Of n dimensions noise is in each, keying of energy S an element in one: excess e = (1 + c S / 2) / (1 + S / n) - 1.
    ebN0Of: (excess) => Math.max(0, (2 * excess) / (KEYED_SHARE - (1 + excess) * noiseShare)),
  };
}

/** e^(-j step k), k = 0..length, re and im in turn. */
function turnTable(step: number, length: number): Float64Array {
  const table = new Float64Array(2 * (length + 1));
  for (let k = 0; k <= length; k++) {
    table[2 * k] = Math.cos(step * k);
    table[2 * k + 1] = -Math.sin(step * k);
  }
  return table;
}

function energyOf(re: Float32Array, im: Float32Array, at: number, count: number): number {
  let sum = 0;
  for (let k = at; k < at + count; k++) sum += re[k] * re[k] + im[k] * im[k];
  return sum;
}

function correlate(
  re: Float32Array,
  im: Float32Array,
  at: number,
  count: number,
  table: Float64Array,
  sums: Float64Array,
): void {
  let sumRe = 0;
  let sumIm = 0;
  for (let k = 0; k < count; k++) {
    const x = re[at + k];
    const y = im[at + k];
    const c = table[2 * k];
    const s = table[2 * k + 1];
    sumRe += x * c - y * s;
    sumIm += x * s + y * c;
  }
  sums[0] = sumRe;
  sums[1] = sumIm;
}
