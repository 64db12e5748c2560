import { describe, expect, test } from 'vitest';
import { Random } from '../../../decoders/simulate/random.ts';
import { encode } from '../../../decoders/teletype/alphabets.ts';
import { type DemodulatedBurst, demodulate } from '../../../decoders/teletype/demodulate.ts';
import { printSoft } from '../../../decoders/teletype/print.ts';
import fsk from '../../reference/fsk-ber.json' with { type: 'json' };
import { type Keyed, keyed } from '../support/keyed.ts';
import { fewestErrors } from '../support/soft.ts';

const TEXT = 'Q0DUN P 00042 7921 -0130 412 388 000 000 11 NOM B72E';
const CODES = encode(TEXT, 'ita2', { startShift: 'unknown' });

function read(options: Omit<Keyed, 'codes'> & Partial<Pick<Keyed, 'codes'>>): DemodulatedBurst {
  const burst = demodulate(keyed({ codes: CODES, ...options }));
  if (!burst) throw new Error('no burst');
  return burst;
}

describe('a strong burst is read exactly', () => {
  test.each([
    { baud: 500 / 11, shiftHz: 170 },
    { baud: 50, shiftHz: 85, stopElements: 1 },
    { baud: 50, shiftHz: 450, markIsHigher: true },
    { baud: 75, shiftHz: 425, stopElements: 2 },
    { baud: 100, shiftHz: 850, stopElements: 1.42 },
    { baud: 110, shiftHz: 170, phase: 'switched' },
    { baud: 150, shiftHz: 200, phase: 'random', markIsHigher: true },
    { baud: 200, shiftHz: 425, stopElements: 2 },
    { baud: 300, shiftHz: 450, stopElements: 1 },
    { baud: 500 / 11, shiftHz: 170, driftHzPerSecond: 50 },
    { baud: 500 / 11, shiftHz: 170, gapElements: (random: Random) => random.uniform(0, 3) },
  ] as const)('%j', (options) => {
    for (const ebN0Db of [undefined, 16]) {
      const burst = read({ ...options, seed: 21, ...(ebN0Db === undefined ? {} : { ebN0Db }) });
      expect(printSoft(burst.soft, { alphabet: 'ita2' }).text).toBe(TEXT);
      expect(Math.abs(burst.baud / options.baud - 1)).toBeLessThan(0.005);
    }
  });
});

test('says what it measured', () => {
  const signal = keyed({ codes: CODES, baud: 500 / 11, shiftHz: 170, ebN0Db: 11, driftHzPerSecond: -20, seed: 4 });
  const burst = demodulate(signal);
  expect(burst?.ebN0Db).toBeCloseTo(11, 0);
  expect(burst?.stopElements).toBe(1.5);
  expect(Math.abs((burst?.driftHzPerSecond ?? 0) + 20)).toBeLessThan(1);
  expect(Math.abs(Math.abs((burst?.markHz ?? 0) - (burst?.spaceHz ?? 0)) - 170)).toBeLessThan(2);
});

// 0.5 exp(-Eb/2N0), noncoherent orthogonal FSK (Proakis, Digital Communications); tests/reference/fsk-ber.json.
test.each([6, 8])('errs as an ideal noncoherent receiver does at %d dB, with everything found from the burst', (db) => {
  const theory = fsk.awgn.find((row) => row.ebn0_db === db)?.noncoherent ?? Number.NaN;
  const random = new Random(db);
  let wrong = 0;
  let bits = 0;
  for (let run = 0; run < 40; run++) {
    const codes = Array.from({ length: 60 }, () => random.integer(32));
    const { soft } = read({ codes, baud: 500 / 11, shiftHz: 2000 / 11, ebN0Db: db, seed: 100 + run });
    wrong += fewestErrors(codes, soft.elementLlr);
    bits += codes.length * 5;
  }
  // 12 000 elements: at 8 dB 254 errors are due, their spread is 6 %; three of these.
  expect(Math.abs(wrong / bits / theory - 1)).toBeLessThan(0.19);
});

test('a voice 20 dB louder before the burst does not spoil it', () => {
  const signal = keyed({ codes: CODES, baud: 500 / 11, shiftHz: 170, ebN0Db: 14, seed: 9 });
  const random = new Random(1);
  const until = Math.floor((signal.acquisition.startSeconds - 0.6) * signal.sampleRateHz);
  for (let i = 0; i < until; i++) signal.samples[i] += 2 * random.gaussian() * Math.sin(i * 0.9);
  const burst = demodulate(signal);
  expect(burst && printSoft(burst.soft).text).toContain(TEXT);
});

test('noise alone gives no burst worth the name', () => {
  const signal = keyed({ codes: CODES, baud: 500 / 11, shiftHz: 170, seed: 9 });
  const random = new Random(3);
  const burst = demodulate({ ...signal, samples: signal.samples.map(() => random.gaussian()) });
  expect(burst === null || printSoft(burst.soft).characters.every(({ confidence }) => confidence < 0.999)).toBe(true);
});
