import { expect, test } from 'vitest';
import { createFft } from '../../../decoders/signal/fft.ts';
import spectral from '../../reference/spectral.json' with { type: 'json' };

const POWERS_OF_TWO = [...spectral.dft_real, ...spectral.dft_complex]
  .map(({ name, x, X }) => ({ name, x: x.map((value) => (Array.isArray(value) ? value : [value, 0])), X }))
  .filter(({ x }) => Number.isInteger(Math.log2(x.length)));

// tests/reference/spectral.json, `dft_real` and `dft_complex`: computed with numpy 1.24.2.
test.each(POWERS_OF_TWO)('transforms $name', ({ x, X }) => {
  const fft = createFft(x.length);
  fft.input.set(x.flat());
  fft.run();
  X.flat().forEach((value, i) => {
    expect(fft.output[i]).toBeCloseTo(value, 9);
  });
});
