import fc from 'fast-check';
import { expect, test } from 'vitest';
import { SampleHistory } from '../../../decoders/signal/history.ts';

const CAPACITY = 64;

test('slices are those of the whole stream, as far as they are still held', () => {
  fc.assert(
    fc.property(
      fc.array(fc.integer({ min: 0, max: 40 }), { minLength: 1, maxLength: 8 }),
      fc.double({ min: -20, max: 200, noNaN: true }),
      fc.double({ min: -20, max: 200, noNaN: true }),
      (blocks, from, to) => {
        const history = new SampleHistory(CAPACITY);
        let end = 0;
        for (const size of blocks) {
          const first = end;
          history.append(Float32Array.from({ length: size }, (_, i) => first + i + 1));
          end += size;
        }
        expect(history.end).toBe(end);
        const { samples, first } = history.slice(from, to);
        const held = Array.from({ length: end }, (_, n) => n).slice(-CAPACITY);
        const wanted = held.filter((n) => n >= from && n <= Math.floor(to) - 1);
        expect([...samples]).toEqual(wanted.map((n) => n + 1));
        if (wanted.length > 0) expect(first).toBe(wanted[0]);
      },
    ),
    { seed: 1, numRuns: 500 },
  );
});

test('a slice is a copy', () => {
  const history = new SampleHistory(CAPACITY);
  history.append(new Float32Array(10).fill(1));
  const { samples } = history.slice(0, 10);
  history.append(new Float32Array(CAPACITY).fill(2));
  expect([...samples]).toEqual(new Array(10).fill(1));
});
