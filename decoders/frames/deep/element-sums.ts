import { lnI0 } from '../../signal/ln-i0.ts';
import { ELEMENTS_PER_SLOT } from '../../teletype/soft-characters.ts';
import { type CorrelatedTones, characterSecondsOf, type SignalHypothesis } from './signal-hypothesis.ts';

export type SpacePhase = 'against-mark' | 'own';

/**
 * Both tones in every element of every character slot, as complex numbers whose phase stays put as long as the sender's
 * does, scaled so that exp of a real part is a likelihood: over noise alone, a tone at phase psi has the likelihood
 * exp(Re(sum e^(-j psi)) + bias) (coherent detection in white noise, Proakis, Digital Communications).
 */
export class ElementSums {
  readonly slots: number;
  /** By `slot * 7 + element`. */
  readonly markRe: Float64Array;
  readonly markIm: Float64Array;
  readonly spaceRe: Float64Array;
  readonly spaceIm: Float64Array;
  /** Of an element of normal length, and of the stop element. */
  markBias = 0;
  spaceBias = 0;
  stopBias = 0;
  /** ln of the likelihood, over noise alone, of a tone drawn at random with a phase drawn at random, in each element summed up by slot. */
  readonly random: Float64Array;

  constructor(slots: number) {
    this.slots = slots;
    this.markRe = new Float64Array(slots * ELEMENTS_PER_SLOT);
    this.markIm = new Float64Array(this.markRe.length);
    this.spaceRe = new Float64Array(this.markRe.length);
    this.spaceIm = new Float64Array(this.markRe.length);
    this.random = new Float64Array(slots);
  }

  /**
   * Measures a burst under a hypothesis. Without `startSeconds` the slots follow each other on its clock.
   *
   * @param startSeconds start of each slot, for senders without a clock.
   * @param spacePhase what the phases of spaces are counted against: the mark tone at the start of their element, or their own tone.
   */
  fill(
    tones: CorrelatedTones,
    at: SignalHypothesis,
    startSeconds?: Float64Array,
    spacePhase: SpacePhase = 'against-mark',
  ): void {
    const { elementSeconds, stopElements, markLevel, spaceLevel, noisePower } = at;
    const characterSeconds = characterSecondsOf(at);
    for (let slot = 0; slot < this.slots; slot++) {
      const slotSeconds = startSeconds ? startSeconds[slot] : at.startSeconds + slot * characterSeconds;
      for (let element = 0; element < ELEMENTS_PER_SLOT; element++) {
        // The stop element is mark for longer than the others: all of it counts.
        const length = element === ELEMENTS_PER_SLOT - 1 ? stopElements : 1;
        const from = slotSeconds + element * elementSeconds;
        this.measure(tones, at, spacePhase, slot * ELEMENTS_PER_SLOT + element, from, from + length * elementSeconds);
      }
    }
    this.setBiases(-(markLevel * markLevel) / noisePower, -(spaceLevel * spaceLevel) / noisePower, stopElements);
  }

  /** What a tone's level takes off, an element of normal length; to be called when all elements are measured. */
  setBiases(markBias: number, spaceBias: number, stopElements: number): void {
    this.markBias = markBias;
    this.spaceBias = spaceBias;
    this.stopBias = stopElements * markBias;
    this.random.fill(0);
    for (let i = 0; i < this.markRe.length; i++) {
      const isStop = i % ELEMENTS_PER_SLOT === ELEMENTS_PER_SLOT - 1;
      this.random[Math.floor(i / ELEMENTS_PER_SLOT)] += this.randomTone(i, isStop ? stopElements : 1);
    }
  }

  private measure(
    tones: CorrelatedTones,
    at: SignalHypothesis,
    spacePhase: SpacePhase,
    i: number,
    from: number,
    to: number,
  ): void {
    const { mark, space, markHz, spaceHz, originSeconds, middleSeconds } = tones;
    // The offset's phase at the window's middle: within one window it turns too little to matter.
    const middle = (from + to) / 2 - originSeconds;
    const away = (from + to) / 2 - middleSeconds;
    const turn = at.offsetHz * middle + 0.5 * at.driftHzPerSecond * away * away;
    const markScale = (2 * at.markLevel) / at.noisePower;
    const spaceScale = (2 * at.spaceLevel) / at.noisePower;
    mark.correlate(from, to);
    const mc = markScale * Math.cos(2 * Math.PI * turn);
    const ms = -markScale * Math.sin(2 * Math.PI * turn);
    this.markRe[i] = mark.re * mc - mark.im * ms;
    this.markIm[i] = mark.re * ms + mark.im * mc;
    space.correlate(from, to);
    const shiftHz = spacePhase === 'own' ? 0 : spaceHz + at.spreadHz - markHz;
    const spaceTurn = turn + at.spreadHz * middle - shiftHz * (from - originSeconds);
    const sc = spaceScale * Math.cos(2 * Math.PI * spaceTurn);
    const ss = -spaceScale * Math.sin(2 * Math.PI * spaceTurn);
    this.spaceRe[i] = space.re * sc - space.im * ss;
    this.spaceIm[i] = space.re * ss + space.im * sc;
  }

  private randomTone(i: number, length: number): number {
    const mark = lnI0(Math.hypot(this.markRe[i], this.markIm[i])) + length * this.markBias;
    const space = lnI0(Math.hypot(this.spaceRe[i], this.spaceIm[i])) + length * this.spaceBias;
    return Math.max(mark, space) + Math.log1p(Math.exp(-Math.abs(mark - space))) - Math.LN2;
  }
}
