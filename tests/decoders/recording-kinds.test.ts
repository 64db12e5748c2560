import { describe, expect, test } from 'vitest';
import { encodeWav } from '../../decoders/audio/wav-write.ts';
import type { Alphabet } from '../../decoders/mission/types.ts';
import { addNoiseAtEbN0 } from '../../decoders/simulate/channel.ts';
import { Random } from '../../decoders/simulate/random.ts';
import { keyBurst } from '../../decoders/simulate/transmitter.ts';
import { encode } from '../../decoders/teletype/alphabets.ts';
import teletype from '../reference/teletype.json' with { type: 'json' };
import { decodeBytes } from './support/wav.ts';

const TEXT: Readonly<Record<Alphabet, string>> = {
  ita2: 'Q0DUN A 1234 5678 9012 TEMP -12.5 STATUS OK 7F3A RYRYRY',
  'us-tty': 'Q0DUN A 1234 5678 9012 TEMP -12.5 STATUS OK $5 & "X"',
};

interface Kind {
  readonly baud: number;
  readonly shiftHz: number;
  readonly stopElements: number;
  readonly seed: number;
  readonly gapElements?: number;
  readonly ebN0Db?: number;
}

/** A recording of one burst; rate, tones, polarity, phase law and alphabet are drawn. */
function recordingOf({ baud, shiftHz, stopElements, seed, gapElements = 0, ebN0Db }: Kind) {
  const random = new Random(seed);
  const sampleRateHz = random.pick([8000, 11_025, 16_000, 22_050, 44_100, 48_000]);
  const alphabet = random.pick<Alphabet>(['ita2', 'us-tty']);
  const lowHz = random.uniform(400, 2900 - shiftHz);
  const markIsHigher = random.uniform() < 0.5;
  const burst = keyBurst(encode(TEXT[alphabet], alphabet, { startShift: 'unknown' }), {
    sampleRateHz,
    baud,
    stopElements,
    markHz: markIsHigher ? lowHz + shiftHz : lowHz,
    spaceHz: markIsHigher ? lowHz : lowHz + shiftHz,
    amplitude: 0.3,
    phase: random.pick(['continuous', 'switched', 'random']),
    random,
    leadMarkElements: random.uniform(0, 10),
    tailMarkElements: 8,
    startOffsetSamples: random.uniform(),
    gapElements: () => random.uniform(0, gapElements),
  });
  const lead = Math.floor(random.uniform(0.5, 3) * sampleRateHz);
  const samples = new Float32Array(lead + burst.length + 2 * sampleRateHz);
  samples.set(burst, lead);
  if (ebN0Db !== undefined) addNoiseAtEbN0(samples, { ebN0Db, baud, sampleRateHz, signalPower: 0.045, random });
  return { wav: encodeWav(samples, { sampleRateHz, format: 'pcm16' }), text: TEXT[alphabet], markIsHigher };
}

function expectExact(kind: Kind): void {
  const { wav, text, markIsHigher } = recordingOf(kind);
  const { bursts } = decodeBytes(wav);
  expect(bursts.map(({ burst }) => burst.text.trim())).toEqual([text]);
  expect(bursts[0].burst.reversed).toBe(markIsHigher);
  expect(Math.abs(bursts[0].burst.baud / kind.baud - 1)).toBeLessThan(0.013);
}

const BAUDS = [500 / 11, 50, 75, 100, 110, 150, 200, 300];
/** tests/reference/teletype.json, `shifts`: US Navy and amateur practice; 23 Hz is below one element rate. */
const SHIFTS = teletype.shifts.map(({ shift_hz }) => shift_hz ?? 0).filter((hz) => hz >= 85);
const STOPS = [1, 1.42, 1.5, 2];

const kinds = BAUDS.flatMap((baud, b) =>
  SHIFTS.filter((shiftHz) => shiftHz / baud >= 1.05).map((shiftHz, s) => ({
    baud,
    shiftHz,
    stopElements: STOPS[(b + s) % STOPS.length],
    seed: 100 * b + s,
  })),
);

describe('without settings, exactly the sent text', () => {
  test.each(kinds)('$baud Bd, $shiftHz Hz, $stopElements stop', expectExact);
  test.each(kinds.filter((_, i) => i % 5 === 0))('in noise of 14 dB: $baud Bd, $shiftHz Hz', (kind) => {
    expectExact({ ...kind, ebN0Db: 14 });
  });
  test.each(kinds.filter((_, i) => i % 6 === 0))('irregular gaps: $baud Bd, $shiftHz Hz', (kind) => {
    expectExact({ ...kind, gapElements: 3 });
  });
});
