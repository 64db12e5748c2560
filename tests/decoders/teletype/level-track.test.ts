import { describe, expect, test } from 'vitest';
import { Fading } from '../../../decoders/simulate/fading.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import { type ElementMagnitudes, trackedLlr, trackLevels } from '../../../decoders/teletype/level-track.ts';
import { ELEMENTS_PER_SLOT } from '../../../decoders/teletype/soft-characters.ts';

const SLOTS = 60;
const SLOT_SECONDS = 0.165;
const LEVEL = { markLevel: 1, spaceLevel: 1, noisePower: 10 ** -1.2 };

/** Elements at 12 dB whose tones go through the gains given by time. */
function send(seed: number, gainOf: (isMark: boolean, seconds: number) => number) {
  const random = new Random(seed);
  const seen: ElementMagnitudes = {
    mark: new Float64Array(SLOTS * ELEMENTS_PER_SLOT),
    space: new Float64Array(SLOTS * ELEMENTS_PER_SLOT),
  };
  const keyed: boolean[] = [];
  const noise = () => Math.sqrt(LEVEL.noisePower / 2) * random.gaussian();
  for (let i = 0; i < SLOTS * ELEMENTS_PER_SLOT; i++) {
    const element = i % ELEMENTS_PER_SLOT;
    const isMark = element === ELEMENTS_PER_SLOT - 1 || (element > 0 && random.uniform() < 0.5);
    const gain = gainOf(isMark, (i / ELEMENTS_PER_SLOT) * SLOT_SECONDS);
    keyed.push(isMark);
    seen.mark[i] = Math.hypot(noise() + (isMark ? gain : 0), noise());
    seen.space[i] = Math.hypot(noise() + (isMark ? 0 : gain), noise());
  }
  return { seen, keyed };
}

/** Two Rayleigh paths. */
function fadingGains(seed: number, spreadHz: number) {
  const random = new Random(seed);
  const [mark, space] = [new Fading({ spreadHz }, random), new Fading({ spreadHz }, random)];
  return (isMark: boolean, seconds: number) => {
    for (const path of [mark, space]) path.moveTo(seconds);
    const { re, im } = isMark ? mark : space;
    return Math.hypot(re, im);
  };
}

describe('levels', () => {
  test('that are steady are not followed', () => {
    for (let seed = 1; seed <= 20; seed++) expect(trackLevels(send(seed, () => 1).seen, LEVEL)).toBeNull();
  });

  test.each([0.2, 0.5])('that fade at %d Hz are followed to within a few decibels', (spreadHz) => {
    const gainOf = fadingGains(3, spreadHz);
    const { seen } = send(4, gainOf);
    const track = trackLevels(seen, LEVEL);
    if (!track) throw new Error('not followed');
    const again = fadingGains(3, spreadHz);
    const errors: number[] = [];
    for (let slot = 0; slot < SLOTS; slot++) {
      const gain = again(true, (slot + 0.5) * SLOT_SECONDS);
      let mean = 0;
      for (let i = 0; i < track.ratios.length; i++)
        mean += track.mark[slot * track.ratios.length + i] * track.ratios[i];
      if (gain > 0.3) errors.push(Math.abs(20 * Math.log10(mean / gain)));
    }
    expect(errors.reduce((a, b) => a + b, 0) / errors.length).toBeLessThan(2);
  });
});

// At 1 Hz levels move within a character already.
test.each([
  [0.2, 0.006],
  [0.5, 0.006],
  [1, 0.012],
])('elements stated to be right with a probability are right as often, in fading of %d Hz', (spreadHz, most) => {
  let stated = 0;
  let right = 0;
  let statedSteady = 0;
  for (let seed = 1; seed <= 60; seed++) {
    const { seen, keyed } = send(seed, fadingGains(seed, spreadHz));
    const track = trackLevels(seen, LEVEL);
    if (!track) continue;
    trackedLlr(seen, LEVEL, track).forEach((llr, i) => {
      const element = i % ELEMENTS_PER_SLOT;
      if (element === 0 || element === ELEMENTS_PER_SLOT - 1) return;
      stated += 1 / (1 + Math.exp(-Math.abs(llr)));
      right += Number(llr > 0 === keyed[i]);
      statedSteady++;
    });
  }
  expect(statedSteady).toBeGreaterThan(5000);
  expect(Math.abs(stated - right) / statedSteady).toBeLessThan(most);
});
