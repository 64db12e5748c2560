import { describe, expect, test } from 'vitest';
import { FRAMES_AT_ONCE, usualKernel } from '../../../decoders/signal/kernel/kernel.ts';
import { BINS, createSpectrograph, FRAMES_SPAN } from '../../../decoders/signal/spectrogram.ts';
import {
  addWhitened,
  CELL_LIMIT,
  createNeighbourhood,
  leaveOut,
  NOISE_CELL,
} from '../../../decoders/signal/whitening.ts';
import { Random } from '../../../decoders/simulate/random.ts';

const NO_LINES = new Uint8Array(BINS);

function whitened(power: Float32Array, reach = 12, lines = NO_LINES): Float32Array {
  const neighbourhood = createNeighbourhood(reach);
  leaveOut(neighbourhood, lines);
  const sums = new Float32Array(BINS);
  addWhitened(power, lines, neighbourhood, sums);
  return sums;
}

function noisePower(seed: number): Float32Array {
  const random = new Random(seed);
  return Float32Array.from({ length: BINS }, () => -Math.log(1 - random.uniform()));
}

describe.each([
  // Mean of min(4, own / neighbourhood) over 20 000 Hann-windowed frames of white noise, computed with numpy.
  { reach: 12, mean: 0.9907 },
  { reach: 27, mean: 0.9878 },
])('about each bin $reach on either side', ({ reach, mean }) => {
  test('noise of any level averages what it should, near what stands for cells that are not there', () => {
    const random = new Random(reach);
    const spectrograph = createSpectrograph(usualKernel());
    const frames = 3000;
    for (const level of [0.001, 0.5]) {
      const sums = new Float32Array(BINS);
      const neighbourhood = createNeighbourhood(reach);
      for (let frame = 0; frame < frames; frame += FRAMES_AT_ONCE) {
        const samples = Float32Array.from({ length: FRAMES_SPAN }, () => level * random.gaussian());
        spectrograph.analyse(samples, 0);
        for (const power of spectrograph.powers) addWhitened(power, NO_LINES, neighbourhood, sums);
      }
      expect(Math.abs(sums.reduce((sum, x) => sum + x, 0) / BINS / frames - mean)).toBeLessThan(0.005);
      // No bin is favoured, those at the ends neither.
      for (const sum of sums) expect(Math.abs(sum / frames - mean)).toBeLessThan(0.12);
    }
    expect(Math.abs(NOISE_CELL - mean)).toBeLessThan(0.015);
  });

  test('silence and flat spectra are plain, whatever their level', () => {
    for (const level of [0, 1e-12, 1e-6, 1, 1e6]) {
      for (const cell of whitened(new Float32Array(BINS).fill(level), reach)) expect(cell).toBeCloseTo(1, 6);
    }
  });

  test('level does not matter', () => {
    const power = noisePower(3);
    const loud = whitened(
      power.map((x) => 1e4 * x),
      reach,
    );
    whitened(power, reach).forEach((cell, k) => {
      expect(loud[k]).toBeCloseTo(cell, 5);
    });
  });

  test('a line left out does not darken those beside it', () => {
    const power = noisePower(4);
    const before = whitened(power, reach);
    const lines = new Uint8Array(BINS);
    lines[40] = 1;
    const struck = power.slice();
    struck[40] = 1e5;
    expect(whitened(struck, reach)[42]).toBeLessThan(0.01 * before[42]);
    const spared = whitened(struck, reach, lines);
    for (let k = 0; k < BINS; k++) {
      const about = [...power.keys()].filter((i) => Math.abs(i - k) <= reach && i !== 40);
      const mean = about.reduce((sum, i) => sum + power[i], 0) / about.length;
      if (k !== 40) expect(spared[k]).toBeCloseTo(Math.min(CELL_LIMIT, power[k] / mean), 5);
    }
  });
});

test('no cell counts more than the limit, and sums are added to', () => {
  const power = noisePower(5);
  power[30] = 1e9;
  const sums = new Float32Array(BINS).fill(2);
  addWhitened(power, NO_LINES, createNeighbourhood(12), sums);
  expect(sums[30]).toBe(2 + CELL_LIMIT);
  expect(Math.max(...sums)).toBe(2 + CELL_LIMIT);
});

test('bins left out wholly leave no division by nothing', () => {
  for (const cell of whitened(noisePower(6), 12, new Uint8Array(BINS).fill(1))) {
    expect(cell).toBeGreaterThanOrEqual(0);
    expect(cell).toBeLessThanOrEqual(CELL_LIMIT);
  }
});
