import { describe, expect, test } from 'vitest';
import { createBand } from '../../../../decoders/signal/known/band.ts';
import { createToneGrid, type ToneGrid } from '../../../../decoders/signal/known/tone-grid.ts';
import { Random } from '../../../../decoders/simulate/random.ts';

const RATE_HZ = 8000;
const BAUD = 50;
const OFFSETS = Float64Array.of(-20, 0, 20);

function gridOf(samples: Float32Array, piece = 1000): ToneGrid {
  const band = createBand(1360, 250, 30);
  const grid = createToneGrid(band, BAUD, [-85, 85], OFFSETS, 30);
  for (let at = 0; at < samples.length; at += piece) {
    band.push(samples.subarray(at, at + piece));
    grid.update();
  }
  return grid;
}

/** Mark for a second, space for a second, and so on. */
function slowKeying(seconds: number, offsetHz = 0): Float32Array {
  let phase = 0;
  return Float32Array.from({ length: seconds * RATE_HZ }, (_, n) => {
    phase += (2 * Math.PI * (1360 + offsetHz + (Math.floor(n / RATE_HZ) % 2 === 0 ? -85 : 85))) / RATE_HZ;
    return Math.cos(phase);
  });
}

function excessOf(grid: ToneGrid, offset: number, from: number, span: number): number {
  const out = new Float64Array(2);
  grid.excess(offset, from - 1, span, out);
  return out[1];
}

const noise = (seconds: number, seed: number) => {
  const samples = new Float32Array(seconds * RATE_HZ);
  new Random(seed).addGaussian(samples, 0.2);
  return samples;
};

test('the keying is up at mark, down at space, whatever the level', () => {
  for (const level of [1e-3, 1]) {
    const { keying, mask, rows } = gridOf(slowKeying(4).map((x) => level * x));
    expect(rows).toBeGreaterThan(4 * 2 * BAUD - 6);
    // Row r begins r half elements in: 100 rows a second, leaving out those near a change.
    for (let row = 10; row < 390; row++) {
      if (row % 100 < 5 || row % 100 > 93) continue;
      const d = keying[1][row & mask];
      expect(Math.floor(row / 100) % 2 === 0 ? d : -d).toBeGreaterThan(0.8);
    }
  }
});

test('noise keys at random, and its energy is what was expected', () => {
  const grid = gridOf(noise(28, 3));
  const values = Array.from({ length: 2500 }, (_, row) => grid.keying[1][(100 + row) & grid.mask]);
  expect(Math.abs(values.reduce((a, b) => a + b) / values.length)).toBeLessThan(0.05);
  for (let offset = 0; offset < 3; offset++) expect(Math.abs(excessOf(grid, offset, 100, 2500))).toBeLessThan(0.06);
});

describe('tones in noise', () => {
  test('stand out at their own offset', () => {
    const samples = noise(28, 4);
    const tones = slowKeying(28, 20);
    // A quarter of the noise's energy in the band.
    for (let n = 0; n < samples.length; n++) samples[n] += 0.025 * tones[n];
    const grid = gridOf(samples);
    const excess = [0, 1, 2].map((offset) => excessOf(grid, offset, 100, 2500));
    expect(excess[2]).toBeGreaterThan(0.08);
    expect(excess[2]).toBeGreaterThan(excess[1]);
    expect(excess[1]).toBeGreaterThan(excess[0]);
  });

  test('are the same in pieces of any size', () => {
    const samples = noise(5, 5);
    const whole = gridOf(samples, 2000);
    const other = gridOf(samples, 77);
    expect(other.rows).toBe(whole.rows);
    expect(other.keying).toEqual(whole.keying);
    expect(excessOf(other, 1, 10, 390)).toBe(excessOf(whole, 1, 10, 390));
  });
});

test('silence is nothing', () => {
  const grid = gridOf(new Float32Array(3 * RATE_HZ));
  expect(excessOf(grid, 1, 10, 190)).toBe(-1);
  expect(grid.keying[1].every((d) => d === 0)).toBe(true);
});
