// @vitest-environment node
import { expect, it } from 'vitest';
import { Random } from '../../../../decoders/simulate/random.ts';
import { COLUMNS_A_SECOND, HIGHEST_HZ, LiveSpectrum, SPECTRUM_BINS } from '../../../../web/pages/listen/spectrum.ts';

it('shows a tone where it is, bright above the noise', () => {
  const samples = new Float32Array(2 * 48_000);
  new Random(1).addGaussian(samples, 0.01);
  for (let i = 0; i < samples.length; i++) samples[i] += 0.1 * Math.sin((2 * Math.PI * 1445 * i) / 48_000);
  const spectrum = new LiveSpectrum(48_000);
  const columns: Uint8Array[] = [];
  for (let at = 0; at < samples.length; at += 999) {
    spectrum.take(samples.subarray(at, at + 999), (column) => columns.push(column));
  }
  expect(Math.abs(columns.length - 2 * COLUMNS_A_SECOND)).toBeLessThan(2);
  const last = columns[columns.length - 1];
  const brightest = last.indexOf(Math.max(...last));
  expect(Math.abs((brightest * HIGHEST_HZ) / SPECTRUM_BINS - 1445)).toBeLessThan(20);
  expect(last[brightest]).toBeGreaterThan(200);
  expect([...last].sort((a, b) => a - b)[SPECTRUM_BINS >> 1]).toBeLessThan(100);
});
