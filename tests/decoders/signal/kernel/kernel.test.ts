import { describe, expect, test } from 'vitest';
import { createAcquirer } from '../../../../decoders/signal/acquirer.ts';
import { createToneSums } from '../../../../decoders/signal/envelopes.ts';
import type { Kernel, Slots } from '../../../../decoders/signal/kernel/kernel.ts';
import { FRAMES_AT_ONCE, usualKernel } from '../../../../decoders/signal/kernel/kernel.ts';
import { plainKernel } from '../../../../decoders/signal/kernel/plain/plain-kernel.ts';
import { createSimdKernel } from '../../../../decoders/signal/kernel/simd-kernel.ts';
import type { Acquisition } from '../../../../decoders/signal/types.ts';
import { addNoiseAtEbN0 } from '../../../../decoders/simulate/channel.ts';
import { Random } from '../../../../decoders/simulate/random.ts';
import { keyBurst } from '../../../../decoders/simulate/transmitter.ts';
import { encode } from '../../../../decoders/teletype/alphabets.ts';

const RATE_HZ = 8000;

function simd(): Kernel {
  const kernel = createSimdKernel();
  if (kernel === null) throw new Error('this Node has no WebAssembly vector instructions');
  return kernel;
}

const KERNELS = { plain: plainKernel, simd: simd() };

function noise(length: number, seed = 1): Float32Array {
  const random = new Random(seed);
  return Float32Array.from({ length }, () => random.gaussian());
}

function slotsOf(at: number, samples: number, count: number): Slots {
  return { at, samples, count, sampleRateHz: RATE_HZ };
}

test('where vector instructions are to be had they are used', () => {
  expect(usualKernel()).not.toBe(plainKernel);
});

describe.each(Object.entries(KERNELS))('the %s kernel', (_, kernel) => {
  test.each([
    [13.33, 30, 40],
    [44, 25, 0],
    [87.912, 120, -33],
    [250, 3, 10],
  ])('correlates slots of %d samples as the sum over samples says', (slotSamples, count, hzPerSecond) => {
    const samples = noise(40 + Math.ceil(slotSamples * count));
    const tones = [1275.3, 2211].map((hz) => ({ hz, hzPerSecond, sums: createToneSums(count) }));
    kernel.correlateTones(samples, slotsOf(40, slotSamples, count), tones);
    for (const { hz, sums } of tones) {
      let phase = 0;
      for (let n = 0; n < count; n++) {
        const [from, to] = [Math.round(n * slotSamples), Math.round((n + 1) * slotSamples)];
        // The frequency holds for a quarter of a second.
        const group = Math.max(1, Math.floor(2000 / slotSamples));
        const first = n - (n % group);
        const middle = ((first + Math.min(count, first + group)) / 2) * (slotSamples / RATE_HZ);
        const step = (2 * Math.PI * (hz + hzPerSecond * middle)) / RATE_HZ;
        let re = 0;
        let im = 0;
        for (let i = from; i < to; i++, phase += step) {
          re += samples[40 + i] * Math.cos(phase);
          im -= samples[40 + i] * Math.sin(phase);
        }
        expect(Math.abs(sums.re[n] - re)).toBeLessThan(2e-5);
        expect(Math.abs(sums.im[n] - im)).toBeLessThan(2e-5);
      }
    }
  });

  test.each([
    [2, 2, 8],
    [3, 1, 8],
    [3, 1, 16],
    [2, 1, 24],
  ] as const)('filters down by %d, taps %d apart, %d pairs', (factor, step, pairs) => {
    const samples = noise(3000, 2);
    const half = noise(pairs, 3);
    const middle = step * (pairs - 1) + 1;
    const centreTap = Math.fround(0.4);
    const outputs = Math.floor((samples.length - 2 * middle - 1) / factor) + 1;
    for (const made of [outputs, 37, 1, 0]) {
      const output = new Float32Array(outputs + 1).fill(7);
      kernel.filterDown({ factor, middle, centreTap, half, step }, samples, made, output);
      for (let n = 0; n < made; n++) {
        const m = middle + n * factor;
        let sum = centreTap * samples[m];
        for (let i = 0; i < pairs; i++) {
          sum += half[i] * (samples[m - 1 - i * step] + samples[m + 1 + i * step]);
        }
        expect(Math.abs(output[n] - sum)).toBeLessThan(2e-5);
      }
      expect(output[made]).toBe(7);
    }
  });

  test('gives the power of frames that overlap by half', () => {
    const size = 64;
    const window = Float32Array.from({ length: size }, (_, i) => 0.5 - 0.5 * Math.cos((2 * Math.PI * i) / size));
    const samples = noise(400, 9);
    const powers = Array.from({ length: FRAMES_AT_ONCE }, () => new Float32Array(24));
    kernel.framePowers(samples, 7, { window, firstBin: 5 }, powers);
    for (let frame = 0; frame < powers.length; frame++) {
      for (let k = 0; k < 24; k++) {
        let [re, im] = [0, 0];
        for (let i = 0; i < size; i++) {
          const x = window[i] * samples[7 + (frame * size) / 2 + i];
          re += x * Math.cos((2 * Math.PI * (5 + k) * i) / size);
          im -= x * Math.sin((2 * Math.PI * (5 + k) * i) / size);
        }
        expect(Math.abs(powers[frame][k] - re * re - im * im)).toBeLessThan(1e-4);
      }
    }
  });

  test('averages rows along sheared paths, those of the past too', () => {
    const [count, margin, bins] = [6, 4, 12];
    const cells = noise(count * (bins + 2 * margin), 4);
    const shears = [Int32Array.of(0, 0, 0, 0), Int32Array.of(-4, -1, 1, 4)];
    const means = shears.map(() => new Float32Array(bins));
    kernel.boxMeans({ cells, count, margin }, -2, shears, means);
    for (let i = 0; i < shears.length; i++) {
      for (let k = 0; k < bins; k++) {
        const rows = [4, 5, 0, 1];
        const path = rows.map((row, j) => cells[row * (bins + 2 * margin) + margin + k + shears[i][j]]);
        expect(means[i][k]).toBeCloseTo(path.reduce((sum, x) => sum + x, 0) / 4, 6);
      }
    }
  });

  test.each([
    [1, 10_000, 5],
    [4, 9001, 29],
    [7, 300, 6],
  ])('mixes down and keeps one sample in %d', (decimation, length, pairs) => {
    const samples = noise(length, 7);
    const half = Float64Array.from({ length: pairs + 1 }, (_, i) => 1 / (1 + i));
    const taps = Float64Array.from({ length: 2 * pairs + 1 }, (_, i) => half[Math.abs(i - pairs)]);
    const oscillator = { phase: 0.7, turn: -1.02, twist: -3e-6 };
    const count = Math.floor(length / decimation);
    const [re, im] = [new Float64Array(count), new Float64Array(count)];
    kernel.mixDown(samples, oscillator, taps, decimation, re, im);
    for (let n = 0; n < count; n++) {
      let [sumRe, sumIm] = [0, 0];
      for (let i = 0; i < taps.length; i++) {
        const at = n * decimation + i - pairs;
        const x = taps[i] * (samples[at] ?? 0);
        const phase = oscillator.phase + oscillator.turn * at + (oscillator.twist * at * at) / 2;
        sumRe += x * Math.cos(phase);
        sumIm += x * Math.sin(phase);
      }
      expect(Math.abs(re[n] - sumRe)).toBeLessThan(1e-8);
      expect(Math.abs(im[n] - sumIm)).toBeLessThan(1e-8);
    }
  });

  test('keeps nothing: what it worked on before makes no difference', () => {
    const once = createToneSums(8);
    const again = createToneSums(8);
    const samples = noise(400, 5);
    kernel.correlateTones(samples, slotsOf(0, 50, 8), [{ hz: 900, hzPerSecond: 5, sums: once }]);
    kernel.correlateTones(noise(300_000, 6), slotsOf(0, 200, 1500), [
      { hz: 900, hzPerSecond: 5, sums: createToneSums(1500) },
    ]);
    kernel.correlateTones(samples, slotsOf(0, 50, 8), [{ hz: 900, hzPerSecond: 5, sums: again }]);
    expect(again).toEqual(once);
  });
});

test('both find the same bursts', () => {
  const found = Object.values(KERNELS).map((kernel) => acquisitionsIn(weakBursts(), kernel));
  expect(found[0]).toHaveLength(3);
  expect(found[1]).toHaveLength(3);
  for (const [i, plain] of found[0].entries()) {
    for (const [name, value] of Object.entries(plain)) {
      // Far below what noise does to them.
      expect(Math.abs(Number(found[1][i][name as keyof Acquisition]) / value - 1)).toBeLessThan(1e-4);
    }
  }
});

const BURST_RATE_HZ = 24_000;

/** Three bursts at 5 dB. */
function weakBursts(): Float32Array {
  const random = new Random(8);
  const samples = new Float32Array(48 * BURST_RATE_HZ);
  const codes = encode('Q0DUN A 0123 4567 8901 2345 6789 0246 8135 7902 4680 12AB', 'ita2', { startShift: 'unknown' });
  for (const [i, baud] of [45.45, 50, 100].entries()) {
    const burst = keyBurst(codes, {
      sampleRateHz: BURST_RATE_HZ,
      baud,
      stopElements: 1.5,
      markHz: 1275.3,
      spaceHz: 1445.7,
      amplitude: 0.3,
      driftHzPerSecond: 7,
      random,
    });
    samples.set(burst, (2 + 16 * i) * BURST_RATE_HZ);
  }
  addNoiseAtEbN0(samples, { ebN0Db: 5, baud: 45.45, sampleRateHz: BURST_RATE_HZ, signalPower: 0.045, random });
  return samples;
}

function acquisitionsIn(samples: Float32Array, kernel: Kernel): Acquisition[] {
  const acquirer = createAcquirer({ sampleRateHz: BURST_RATE_HZ, kernel });
  const found: Acquisition[] = [];
  acquirer.push(samples, (each) => found.push(each));
  acquirer.end((each) => found.push(each));
  return found;
}
