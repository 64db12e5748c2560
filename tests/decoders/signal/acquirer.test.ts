import { describe, expect, test } from 'vitest';
import { createAcquirer } from '../../../decoders/signal/acquirer.ts';
import type { Acquisition } from '../../../decoders/signal/types.ts';
import { addNoiseAtEbN0 } from '../../../decoders/simulate/channel.ts';
import { dtmf, morse, speech, steadyTone } from '../../../decoders/simulate/material/index.ts';
import { morseKeying } from '../../../decoders/simulate/morse.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import { mix, type Source } from '../../../decoders/simulate/source.ts';
import { keyBurst } from '../../../decoders/simulate/transmitter.ts';
import { encode } from '../../../decoders/teletype/alphabets.ts';
import tones from '../../reference/tones.json' with { type: 'json' };

const RATE_HZ = 8000;

function acquire(samples: Float32Array, blockSamples = samples.length, sampleRateHz = RATE_HZ): Acquisition[] {
  const acquirer = createAcquirer({ sampleRateHz });
  const found: Acquisition[] = [];
  for (let at = 0; at < samples.length; at += blockSamples) {
    acquirer.push(samples.subarray(at, at + blockSamples), (each) => found.push(each));
  }
  acquirer.end((each) => found.push(each));
  return found;
}

interface Scene {
  readonly text?: string;
  readonly baud?: number;
  readonly shiftHz?: number;
  readonly driftHzPerSecond?: number;
  readonly ebN0Db?: number;
  readonly identification?: string;
  readonly leadSeconds?: number;
}

/** One burst between silences or in noise; mark is the lower tone, 1300 Hz. */
function scene(options: Scene): Float32Array {
  const { text = 'Q0DUN P 00042 7921 -0130 412 388 11 NOM', baud = 500 / 11, shiftHz = 170, leadSeconds = 2 } = options;
  const burst = keyBurst(encode(text, 'ita2', { startShift: 'unknown' }), {
    sampleRateHz: RATE_HZ,
    baud,
    stopElements: 1.5,
    markHz: 1300,
    spaceHz: 1300 + shiftHz,
    amplitude: 0.3,
    driftHzPerSecond: options.driftHzPerSecond ?? 0,
    ...(options.identification ? { before: morseKeying(options.identification, 0.06) } : {}),
  });
  const lead = Math.round(leadSeconds * RATE_HZ);
  const samples = new Float32Array(lead + burst.length + 3 * RATE_HZ);
  samples.set(burst, lead);
  if (options.ebN0Db !== undefined) {
    addNoiseAtEbN0(samples, {
      ebN0Db: options.ebN0Db,
      baud,
      sampleRateHz: RATE_HZ,
      signalPower: 0.045,
      random: new Random(3),
    });
  }
  return samples;
}

function minutes(source: Source, count: number): Float32Array {
  const samples = new Float32Array(count * 60 * RATE_HZ);
  source.fill(samples);
  return samples;
}

describe('one burst is found once', () => {
  test.each([
    ['plain', {}],
    ['a run of RY', { text: 'RYRYRYRYRYRYRYRYRYRYRYRYRYRYRYRY' }],
    ['fields of zeros', { text: 'Q0DUN 00000 00000 00000 00000 00000 00000' }],
    ['fifteen characters', { text: 'Q0DUN TEST ABCD' }],
    ['drifting', { driftHzPerSecond: 50 }],
    ['drifting down, in noise', { driftHzPerSecond: -40, ebN0Db: 8 }],
    ['in noise of 5 dB', { ebN0Db: 5 }],
    ['a keyed identification before', { identification: 'DE Q0DUN' }],
    ['from the first sample on', { leadSeconds: 0 }],
    ['fast', { baud: 300, shiftHz: 450 }],
  ] as const)('%s', (_, options) => {
    const found = acquire(scene(options));
    expect(found).toHaveLength(1);
    const { baud = 500 / 11, shiftHz = 170 } = options as Scene;
    expect(Math.abs(found[0].baud / baud - 1)).toBeLessThan(0.015);
    expect(found[0].markHz).toBeLessThan(found[0].spaceHz);
    expect(Math.abs(found[0].spaceHz - found[0].markHz - shiftHz)).toBeLessThan(0.3 * baud);
  });
});

// Speed, shift (85 Hz or one speed at least), stop, phase and polarity in turn: each occurs with several of the others.
describe('every usual sender is found, its parameters too', () => {
  const BAUDS = [500 / 11, 50, 75, 100, 110, 150, 200, 300];
  const SHIFTS_HZ = [85, 170, 200, 425, 450, 850];
  const STOPS = [1, 1.42, 1.5, 2] as const;
  const PHASES = ['continuous', 'switched', 'random'] as const;
  const kinds = BAUDS.flatMap((baud, b) =>
    SHIFTS_HZ.filter((shiftHz) => shiftHz >= baud && (shiftHz === 85 || SHIFTS_HZ.indexOf(shiftHz) % 2 === b % 2)).map(
      (shiftHz, s) => ({
        baud,
        shiftHz,
        stopElements: STOPS[(b + s) % 4],
        phase: PHASES[(b + 2 * s) % 3],
        reversed: (b + s) % 2 === 0,
      }),
    ),
  );
  test.each(kinds)('$baud Bd, $shiftHz Hz, stop $stopElements, $phase, reversed $reversed', (kind) => {
    const { baud, shiftHz, stopElements, phase, reversed } = kind;
    const random = new Random(Math.round(1000 * baud + shiftHz));
    const lowHz = random.uniform(500, 2800 - shiftHz);
    const codes = Array.from({ length: 62 }, () => random.integer(32));
    const burst = keyBurst(codes, {
      sampleRateHz: RATE_HZ,
      baud,
      stopElements,
      markHz: reversed ? lowHz + shiftHz : lowHz,
      spaceHz: reversed ? lowHz : lowHz + shiftHz,
      amplitude: 0.3,
      phase,
      random,
    });
    const samples = new Float32Array(burst.length + 4 * RATE_HZ);
    samples.set(burst, 2 * RATE_HZ);
    addNoiseAtEbN0(samples, { ebN0Db: 15, baud, sampleRateHz: RATE_HZ, signalPower: 0.045, random });
    const found = acquire(samples);
    expect(found).toHaveLength(1);
    expect(Math.abs(found[0].baud / baud - 1)).toBeLessThan(0.015);
    expect(found[0].markHz > found[0].spaceHz).toBe(reversed);
    expect(Math.abs(Math.abs(found[0].spaceHz - found[0].markHz) - shiftHz)).toBeLessThan(0.3 * baud);
    expect(found[0].startSeconds).toBeLessThan(2 + burst.length / RATE_HZ / 2);
    expect(found[0].endSeconds).toBeGreaterThan(2 + burst.length / RATE_HZ / 2);
  });
});

test('two bursts with silence between are found as two', () => {
  const one = scene({});
  const found = acquire(Float32Array.from([...one, ...new Float32Array(20 * RATE_HZ), ...one]));
  expect(found).toHaveLength(2);
  const apartSeconds = one.length / RATE_HZ + 20;
  expect(Math.abs(found[1].startSeconds - found[0].startSeconds - apartSeconds)).toBeLessThan(1);
});

test('the same samples in other blocks give the same', () => {
  const samples = scene({ ebN0Db: 7 });
  const whole = acquire(samples);
  for (const block of [1000, 4096, 33_333]) expect(acquire(samples, block)).toEqual(whole);
});

describe('nothing is found in', () => {
  const options = { sampleRateHz: RATE_HZ, seed: 5 };
  const random = new Random(8);
  // tests/reference/tones.json: standard CTCSS tones of EIA/TIA-603.
  const hum = tones.ctcss.filter((_, i) => i % 9 === 0).map(({ hz }) => steadyTone(hz, { ...options, gain: 0.3 }));
  test.each([
    ['noise', Float32Array.from({ length: 120 * RATE_HZ }, () => 0.2 * random.gaussian())],
    ['carriers', minutes(mix(...[700, 870, 1500, 1670].map((hz) => steadyTone(hz, options))), 1)],
    ['speech over CTCSS', minutes(mix(speech(options), ...hum), 2)],
    ['DTMF', minutes(dtmf(options), 2)],
    ['Morse', minutes(morse(options), 1)],
    ['silence', new Float32Array(30 * RATE_HZ)],
  ])('%s', (_, samples) => {
    expect(acquire(samples)).toEqual([]);
  });
});

test.each([0, 7999, 192_001, Number.NaN])('a rate of %d Hz is refused', (sampleRateHz) => {
  expect(() => createAcquirer({ sampleRateHz })).toThrow(expect.objectContaining({ code: 'sample-rate-out-of-range' }));
});
