import type { ToneCorrelator } from '../../signal/burst-correlator.ts';
import { lnI0 } from '../../signal/ln-i0.ts';
import { ELEMENTS_PER_SLOT } from '../../teletype/soft-characters.ts';

/** Everything about a burst's signal that a frame's reading depends on, and that is found by climbing its evidence. */
export interface SignalHypothesis {
  /** Start of the first character's start element. */
  readonly startSeconds: number;
  readonly elementSeconds: number;
  readonly stopElements: number;
  /** Added to both tones of the correlators. */
  readonly offsetHz: number;
  /** Added to the distance of space from mark. */
  readonly spreadHz: number;
  /** Both tones move so much, about `middleSeconds`. */
  readonly driftHzPerSecond: number;
  /** Level of the tones over one element, and noise power there, as in `BurstLevel`. */
  readonly level: number;
  readonly noisePower: number;
}

export function characterSecondsOf({ elementSeconds, stopElements }: SignalHypothesis): number {
  return (6 + stopElements) * elementSeconds;
}

export interface CorrelatedTones {
  readonly mark: ToneCorrelator;
  readonly space: ToneCorrelator;
  readonly markHz: number;
  readonly spaceHz: number;
  /** Time at which the correlators' phases count as zero. */
  readonly originSeconds: number;
  /** Time about which drift turns. */
  readonly middleSeconds: number;
}

/**
 * Likelihood of every element of every character slot under either tone and each phase, over that of a tone drawn at
 * random with a phase drawn at random: text without a layout has evidence zero.
 */
export class ElementWeights {
  readonly slots: number;
  readonly bins: number;
  /** By `(slot * 7 + element) * bins + phase`. */
  readonly mark: Float64Array;
  readonly space: Float64Array;
  /** ln of the likelihood of random keying over noise alone, by slot. */
  readonly random: Float64Array;
  private readonly cosines: Float64Array;
  private readonly sines: Float64Array;

  constructor(slots: number, bins: number) {
    this.slots = slots;
    this.bins = bins;
    this.mark = new Float64Array(slots * ELEMENTS_PER_SLOT * bins);
    this.space = new Float64Array(this.mark.length);
    this.random = new Float64Array(slots);
    this.cosines = Float64Array.from({ length: bins }, (_, b) => Math.cos((2 * Math.PI * b) / bins));
    this.sines = Float64Array.from({ length: bins }, (_, b) => Math.sin((2 * Math.PI * b) / bins));
  }

  fill(tones: CorrelatedTones, at: SignalHypothesis): void {
    const { elementSeconds, stopElements, level, noisePower } = at;
    const characterSeconds = characterSecondsOf(at);
    const shiftHz = tones.spaceHz + at.spreadHz - tones.markHz;
    for (let slot = 0; slot < this.slots; slot++) {
      const slotSeconds = at.startSeconds + slot * characterSeconds;
      let random = 0;
      for (let element = 0; element < ELEMENTS_PER_SLOT; element++) {
        // The stop element is mark for longer than the others: all of it counts.
        const length = element === ELEMENTS_PER_SLOT - 1 ? stopElements : 1;
        const from = slotSeconds + element * elementSeconds;
        const to = from + length * elementSeconds;
        // The offset's phase at the window's middle (within one window it turns too little to matter).
        const middle = (from + to) / 2 - tones.originSeconds;
        const away = (from + to) / 2 - tones.middleSeconds;
        const turn = at.offsetHz * middle + 0.5 * at.driftHzPerSecond * away * away;
        const scale = (2 * level) / noisePower;
        tones.mark.correlate(from, to);
        const markTurn = -2 * Math.PI * turn;
        const mc = Math.cos(markTurn);
        const ms = Math.sin(markTurn);
        const mRe = tones.mark.re * mc - tones.mark.im * ms;
        const mIm = tones.mark.re * ms + tones.mark.im * mc;
        tones.space.correlate(from, to);
        // Against the mark tone, a space's phase is counted from the start of the element.
        const spaceTurn = -2 * Math.PI * (turn + at.spreadHz * middle - shiftHz * (from - tones.originSeconds));
        const sc = Math.cos(spaceTurn);
        const ss = Math.sin(spaceTurn);
        const sRe = tones.space.re * sc - tones.space.im * ss;
        const sIm = tones.space.re * ss + tones.space.im * sc;
        const markStrength = scale * Math.hypot(mRe, mIm);
        const spaceStrength = scale * Math.hypot(sRe, sIm);
        const markRandom = lnI0(markStrength);
        const spaceRandom = lnI0(spaceStrength);
        const high = Math.max(markRandom, spaceRandom);
        const norm = high + Math.log((Math.exp(markRandom - high) + Math.exp(spaceRandom - high)) / 2);
        random += norm - (length * level * level) / noisePower;
        const row = (slot * ELEMENTS_PER_SLOT + element) * this.bins;
        fillPhases(this.mark, row, this.cosines, this.sines, scale * mRe, scale * mIm, norm);
        fillPhases(this.space, row, this.cosines, this.sines, scale * sRe, scale * sIm, norm);
      }
      this.random[slot] = random;
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
  norm: number,
): void {
  for (let b = 0; b < cosines.length; b++) out[row + b] = Math.exp(re * cosines[b] + im * sines[b] - norm);
}
