import { lnI0 } from '../../signal/ln-i0.ts';
import { CODE_COUNT, ELEMENTS_PER_SLOT } from '../../teletype/soft-characters.ts';
import type { ElementSums } from './element-sums.ts';
import { type PhaseTurn, phaseTurn } from './phase-model.ts';

const DATA_ELEMENTS = 5;
/** A start and up to five data elements are spaces. */
const MOST_SPACES = 6;

/** Spaces among start and data elements of each code: they turn the phase. */
export const SPACES_OF_CODE = Int32Array.from({ length: CODE_COUNT }, (_, code) => {
  let spaces = 1;
  for (let bit = 0; bit < DATA_ELEMENTS; bit++) spaces += 1 - ((code >> bit) & 1);
  return spaces;
});

const ALL_CODES = Int32Array.from({ length: CODE_COUNT }, (_, code) => code);

/** A character may be wiped out by a click or a fade: no code is ever less likely than chance by more than this. */
const LOST_CHARACTER = 1e-6;

/**
 * Likelihood of each code in each slot for each phase that the sender may have at the character's start, over random
 * keying (text without a layout has evidence zero). Within a character the phase follows the code exactly. With a single
 * bin the phase at the start is any.
 */
export class CodeGains {
  readonly slots: number;
  readonly bins: number;
  /** By `(slot * 32 + code) * bins + phase`. */
  readonly gains: Float64Array;
  /** What a code does to the phase. */
  readonly turnOfCode: PhaseTurn[];
  private readonly cosines: Float64Array;
  private readonly sines: Float64Array;
  private readonly rotationRe = new Float64Array(MOST_SPACES + 1);
  private readonly rotationIm = new Float64Array(MOST_SPACES + 1);
  private readonly re = new Float64Array(CODE_COUNT);
  private readonly im = new Float64Array(CODE_COUNT);
  private readonly bias = new Float64Array(CODE_COUNT);
  private readonly spaces = new Int32Array(CODE_COUNT);

  constructor(slots: number, bins: number) {
    this.slots = slots;
    this.bins = bins;
    this.gains = new Float64Array(slots * CODE_COUNT * bins);
    this.turnOfCode = Array.from({ length: CODE_COUNT }, () => ({ whole: 0, part: 0 }));
    this.cosines = Float64Array.from({ length: bins }, (_, b) => Math.cos((2 * Math.PI * b) / bins));
    this.sines = Float64Array.from({ length: bins }, (_, b) => Math.sin((2 * Math.PI * b) / bins));
  }

  /** @param codesAt the codes that matter in each slot; others keep what was there. Null: all codes in all slots. */
  fill(sums: ElementSums, turnsPerSpace: number, codesAt: readonly Int32Array[] | null): void {
    for (let n = 0; n <= MOST_SPACES; n++) {
      this.rotationRe[n] = Math.cos(2 * Math.PI * turnsPerSpace * n);
      this.rotationIm[n] = -Math.sin(2 * Math.PI * turnsPerSpace * n);
    }
    for (let code = 0; code < CODE_COUNT; code++) {
      this.turnOfCode[code] = phaseTurn(this.bins, SPACES_OF_CODE[code] * turnsPerSpace);
    }
    const slots = codesAt ? Math.min(this.slots, codesAt.length) : this.slots;
    for (let slot = 0; slot < slots; slot++) {
      this.sumCodes(sums, slot);
      for (const code of codesAt ? codesAt[slot] : ALL_CODES) {
        const row = (slot * CODE_COUNT + code) * this.bins;
        const level = this.bias[code] - sums.random[slot];
        if (this.bins > 1) fillPhases(this.gains, row, this.cosines, this.sines, this.re[code], this.im[code], level);
        else this.gains[row] = LOST_CHARACTER + Math.exp(lnI0(Math.hypot(this.re[code], this.im[code])) + level);
      }
    }
  }

  /** Complex sum over the whole character for each code, each element turned back by the spaces before it. */
  private sumCodes(sums: ElementSums, slot: number): void {
    const { re, im, bias, spaces, rotationRe, rotationIm } = this;
    const { markRe, markIm, spaceRe, spaceIm, markBias, spaceBias } = sums;
    const first = slot * ELEMENTS_PER_SLOT;
    re[0] = spaceRe[first];
    im[0] = spaceIm[first];
    bias[0] = spaceBias;
    spaces[0] = 1;
    for (let bit = 0; bit < DATA_ELEMENTS; bit++) {
      const element = first + 1 + bit;
      const half = 1 << bit;
      for (let code = 0; code < half; code++) {
        const c = rotationRe[spaces[code]];
        const s = rotationIm[spaces[code]];
        const withMark = code + half;
        re[withMark] = re[code] + markRe[element] * c - markIm[element] * s;
        im[withMark] = im[code] + markRe[element] * s + markIm[element] * c;
        bias[withMark] = bias[code] + markBias;
        spaces[withMark] = spaces[code];
        re[code] += spaceRe[element] * c - spaceIm[element] * s;
        im[code] += spaceRe[element] * s + spaceIm[element] * c;
        bias[code] += spaceBias;
        spaces[code]++;
      }
    }
    const stop = first + ELEMENTS_PER_SLOT - 1;
    for (let code = 0; code < CODE_COUNT; code++) {
      const c = rotationRe[spaces[code]];
      const s = rotationIm[spaces[code]];
      re[code] += markRe[stop] * c - markIm[stop] * s;
      im[code] += markRe[stop] * s + markIm[stop] * c;
      bias[code] += sums.stopBias;
    }
  }
}

function fillPhases(
  out: Float64Array,
  row: number,
  cosines: Float64Array,
  sines: Float64Array,
  re: number,
  im: number,
  level: number,
): void {
  for (let b = 0; b < cosines.length; b++) {
    out[row + b] = LOST_CHARACTER + Math.exp(re * cosines[b] + im * sines[b] + level);
  }
}
