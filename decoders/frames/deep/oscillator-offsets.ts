import type { CodeLikelihoods } from '../slot-scores.ts';
import type { ElementSums } from './element-sums.ts';
import { TonePhase, takeTones } from './tone-phase.ts';

/** By how much two oscillators that drift alike are off, about the middle of the slots. */
export interface OscillatorOffsets {
  readonly markHz: number;
  readonly spaceHz: number;
  readonly driftHzPerSecond: number;
}

interface Grid {
  /** Characters in which the phase must hold: more of them tell a frequency more finely, and find it less easily. */
  readonly window: number;
  readonly stepHz: number;
  readonly mostHz: number;
  readonly stepHzPerSecond: number;
  readonly mostHzPerSecond: number;
}

const COARSE: Grid = { window: 10, stepHz: 0.12, mostHz: 3, stepHzPerSecond: 0.03, mostHzPerSecond: 0.9 };
const FINE: Grid = { window: 24, stepHz: 0.03, mostHz: 0.15, stepHzPerSecond: 0.008, mostHzPerSecond: 0.032 };

/**
 * Finds where the phases of both tones hold best from character to character, whatever was sent.
 *
 * @param sums with the phase of spaces counted against their own tone.
 * @param weighed what the codes are so far.
 */
export function oscillatorOffsets(
  sums: ElementSums,
  weighed: CodeLikelihoods,
  characterSeconds: number,
): OscillatorOffsets {
  const mark = new TonePhase(sums.slots);
  const space = new TonePhase(sums.slots);
  takeTones(sums, weighed, mark, space);
  const still: OscillatorOffsets = { markHz: 0, spaceHz: 0, driftHzPerSecond: 0 };
  return [COARSE, FINE].reduce((from, grid) => bestOn(grid, from, mark, space, characterSeconds), still);
}

function bestOn(
  grid: Grid,
  from: OscillatorOffsets,
  mark: TonePhase,
  space: TonePhase,
  characterSeconds: number,
): OscillatorOffsets {
  let best = from;
  let most = 0;
  const drifts = Math.round(grid.mostHzPerSecond / grid.stepHzPerSecond);
  for (let i = -drifts; i <= drifts; i++) {
    const driftHzPerSecond = from.driftHzPerSecond + i * grid.stepHzPerSecond;
    const byMark = strongest(mark, grid, from.markHz, driftHzPerSecond, characterSeconds);
    const bySpace = strongest(space, grid, from.spaceHz, driftHzPerSecond, characterSeconds);
    if (byMark.power + bySpace.power <= most) continue;
    most = byMark.power + bySpace.power;
    best = { markHz: byMark.hz, spaceHz: bySpace.hz, driftHzPerSecond };
  }
  return best;
}

/** The frequency about `aroundHz` at which a tone's sums, over one window after the other, add up to most. */
function strongest(
  { ownRe, ownIm }: TonePhase,
  { window, stepHz, mostHz }: Grid,
  aroundHz: number,
  driftHzPerSecond: number,
  characterSeconds: number,
): { readonly hz: number; readonly power: number } {
  const count = ownRe.length;
  const re = new Float64Array(count);
  const im = new Float64Array(count);
  for (let slot = 0; slot < count; slot++) {
    const seconds = (slot - count / 2) * characterSeconds;
    const angle = -2 * Math.PI * (aroundHz + 0.5 * driftHzPerSecond * seconds) * seconds;
    re[slot] = ownRe[slot] * Math.cos(angle) - ownIm[slot] * Math.sin(angle);
    im[slot] = ownRe[slot] * Math.sin(angle) + ownIm[slot] * Math.cos(angle);
  }
  let best = { hz: aroundHz, power: 0 };
  const steps = Math.round(mostHz / stepHz);
  for (let i = -steps; i <= steps; i++) {
    const power = windowedPower(re, im, -2 * Math.PI * i * stepHz * characterSeconds, window);
    if (power > best.power) best = { hz: aroundHz + i * stepHz, power };
  }
  return best;
}

/** Power of the sums turned by so much a slot, over windows that overlap by half. */
function windowedPower(re: Float64Array, im: Float64Array, radiansPerSlot: number, window: number): number {
  const c = Math.cos(radiansPerSlot);
  const s = Math.sin(radiansPerSlot);
  const half = window >> 1;
  let total = 0;
  let beforeRe = 0;
  let beforeIm = 0;
  for (let from = 0; from < re.length; from += half) {
    let turnRe = 1;
    let turnIm = 0;
    let sumRe = 0;
    let sumIm = 0;
    for (let slot = from; slot < from + half && slot < re.length; slot++) {
      sumRe += re[slot] * turnRe - im[slot] * turnIm;
      sumIm += re[slot] * turnIm + im[slot] * turnRe;
      [turnRe, turnIm] = [turnRe * c - turnIm * s, turnRe * s + turnIm * c];
    }
    // The half window before, turned on to this one's beginning, and this.
    const bothRe = beforeRe + sumRe;
    const bothIm = beforeIm + sumIm;
    total += bothRe * bothRe + bothIm * bothIm;
    const backRe = turnRe;
    const backIm = -turnIm;
    beforeRe = sumRe * backRe - sumIm * backIm;
    beforeIm = sumRe * backIm + sumIm * backRe;
  }
  return total;
}
