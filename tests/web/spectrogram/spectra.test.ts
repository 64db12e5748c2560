// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { BIN_HZ, LEVELS_PER_DB, ROWS, spectraOf } from '../../../web/spectrogram/spectra.ts';

const sine = (hz: number, count: number, amplitude = 1): Float32Array =>
  Float32Array.from({ length: count }, (_, i) => amplitude * Math.sin((2 * Math.PI * hz * i) / 8000));

const columnOf = (levels: Uint8Array, column: number): number[] => [
  ...levels.subarray(column * ROWS, (column + 1) * ROWS),
];
const loudest = (levels: Uint8Array, column: number): number => {
  const rows = columnOf(levels, column);
  return BIN_HZ * rows.indexOf(Math.max(...rows));
};

describe('spectra', () => {
  it.each([32, 256, 1024])('show a tone at its frequency, %i samples a column', (step) => {
    const levels = spectraOf({ samples: sine(1275, 40_000), first: 512, step, columns: 8, sampled: false });
    for (let column = 0; column < 8; column++) expect(Math.abs(loudest(levels, column) - 1275)).toBeLessThan(32);
  });

  it('call a full-scale sine 0 dB, and a tenth of it 20 dB less', () => {
    // 1250 Hz is the middle of a row
    const job = { first: 512, step: 512, columns: 1, sampled: false } as const;
    const full = Math.max(...spectraOf({ ...job, samples: sine(1250, 4000) }));
    const tenth = Math.max(...spectraOf({ ...job, samples: sine(1250, 4000, 0.1) }));
    expect(full).toBe(120 * LEVELS_PER_DB);
    expect(full - tenth).toBe(20 * LEVELS_PER_DB);
  });

  it('lose nothing that is short where time is squeezed', () => {
    const samples = new Float32Array(20_000);
    samples.set(sine(1500, 400), 9000);
    const levels = spectraOf({ samples, first: 0, step: 1024, columns: 16, sampled: false });
    const loudestColumn = Array.from({ length: 16 }, (_, column) => Math.max(...columnOf(levels, column)));
    expect(loudestColumn.indexOf(Math.max(...loudestColumn))).toBe(8);
    expect(Math.max(...loudestColumn)).toBeGreaterThan(110 * LEVELS_PER_DB);
  });

  it('of pieces are each of its own piece', () => {
    const samples = new Float32Array(3 * 512);
    samples.set(sine(1000, 512), 512);
    const levels = spectraOf({ samples, first: 0, step: 512, columns: 3, sampled: true });
    expect(Math.max(...columnOf(levels, 0))).toBe(0);
    expect(loudest(levels, 1)).toBeCloseTo(1000, -1);
    expect(Math.max(...columnOf(levels, 2))).toBe(0);
  });

  it('are silent where there are no samples', () => {
    const levels = spectraOf({ samples: sine(1000, 100), first: 10_000, step: 64, columns: 4, sampled: false });
    expect(Math.max(...levels)).toBe(0);
  });
});
