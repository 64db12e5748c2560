import { Random } from '../../decoders/simulate/random.ts';
import { demodulate } from '../../decoders/teletype/demodulate.ts';
import { fewestErrors } from '../decoders/support/soft.ts';
import { elementErrorRate } from './support/plain-receiver.ts';
import { noisyBurst, RATE_HZ } from './support/signal.ts';
import { printTable } from './support/table.ts';

const BURSTS = 150;
const CHARACTERS = 60;
const BAUD = 500 / 11;

/**
 * Element errors with tones, drift, level, noise and timing all found from the burst, against 0.5 exp(-Eb/2N0)
 * (noncoherent orthogonal FSK; Proakis, Digital Communications). 4 / 22 ms apart the tones are orthogonal; 170 Hz is
 * the usual shift.
 */
export async function run(): Promise<void> {
  const rows = [4 * BAUD, 170].flatMap((shiftHz) =>
    [5, 6, 7, 8, 9, 10].map((ebN0Db) => {
      const { wrong, elements, lost } = measure(shiftHz, ebN0Db);
      const theory = elementErrorRate(ebN0Db);
      const rate = wrong / elements;
      const spread = 1.96 * Math.sqrt(1 / Math.max(1, wrong));
      return [
        shiftHz.toFixed(1),
        `${ebN0Db}`,
        rate.toExponential(2),
        theory.toExponential(2),
        `${(rate / theory).toFixed(3)} +- ${(spread * (rate / theory)).toFixed(3)}`,
        `${lost}`,
      ];
    }),
  );
  const title = `Element error rate, ${BURSTS} bursts of ${CHARACTERS} random characters a row, 45.45 Bd`;
  printTable(title, ['shift Hz', 'Eb/N0 dB', 'measured', 'theory', 'ratio (95 %)', 'bursts out of step'], rows);
}

function measure(shiftHz: number, ebN0Db: number): { wrong: number; elements: number; lost: number } {
  let wrong = 0;
  let elements = 0;
  let lost = 0;
  for (let i = 0; i < BURSTS; i++) {
    const random = new Random(i + Math.round(100 * ebN0Db) + Math.round(shiftHz));
    const codes = Array.from({ length: CHARACTERS }, () => random.integer(32));
    const { samples, markHz, spaceHz, burstFrom, burstTo } = noisyBurst({ codes, ebN0Db, random, shiftHz });
    const burst = demodulate({
      samples,
      sampleRateHz: RATE_HZ,
      startSeconds: 0,
      acquisition: {
        startSeconds: burstFrom / RATE_HZ + random.uniform(0, 0.3),
        endSeconds: burstTo / RATE_HZ - random.uniform(0, 0.3),
        baud: BAUD * random.uniform(0.997, 1.003),
        stopElements: 1.5,
        markHz: markHz + random.uniform(-4, 4),
        spaceHz: spaceHz + random.uniform(-4, 4),
        driftHzPerSecond: random.uniform(-1, 1),
        characterPhaseSeconds: 0,
        characterPeriodSeconds: (7.5 / BAUD) * random.uniform(0.999, 1.001),
        score: 9,
      },
    });
    const errors = burst ? fewestErrors(codes, burst.soft.elementLlr) : Number.POSITIVE_INFINITY;
    if (errors > 0.3 * codes.length * 5) {
      lost++;
      continue;
    }
    wrong += errors;
    elements += codes.length * 5;
  }
  return { wrong, elements, lost };
}
