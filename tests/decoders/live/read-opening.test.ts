import { expect, test } from 'vitest';
import { knownBeacons } from '../../../decoders/frames/known-beacons.ts';
import { openingsOf } from '../../../decoders/live/openings.ts';
import { type OpeningReading, readOpening } from '../../../decoders/live/read-opening.ts';
import { tuneWindow } from '../../../decoders/live/tuned-window.ts';
import { addNoiseAtEbN0 } from '../../../decoders/simulate/channel.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import { keyBurst } from '../../../decoders/simulate/transmitter.ts';
import { encode } from '../../../decoders/teletype/alphabets.ts';
import { digitFrame, missionOf } from '../support/missions.ts';

const RATE_HZ = 8000;
const MISSION = missionOf({ a: digitFrame('crc-16/ibm-3740') });
const [BEACON] = knownBeacons([MISSION], null);
const OPENINGS = openingsOf(BEACON);
const KEYING = { ...BEACON, driftHzPerSecond: 0, atSeconds: 0 };
const LEAD_ELEMENTS = 9;
const BEGIN_SECONDS = 1 + LEAD_ELEMENTS / BEACON.baud;

/** What a window says that ends so long after the first character of a text has. */
function heardAfter(seconds: number, text: string, ebN0Db: number, seed: number, floor = 0): OpeningReading | null {
  const samples = new Float32Array(3 * RATE_HZ);
  const { markHz, spaceHz, baud } = BEACON;
  const keying = { sampleRateHz: RATE_HZ, baud, stopElements: 1.5, markHz, spaceHz, amplitude: 0.2 };
  const codes = encode(text, 'ita2', { startShift: 'unknown' });
  samples.set(keyBurst(codes, { ...keying, leadMarkElements: LEAD_ELEMENTS }).subarray(0, 2 * RATE_HZ), RATE_HZ);
  addNoiseAtEbN0(samples, { ebN0Db, baud, sampleRateHz: RATE_HZ, signalPower: 0.02, random: new Random(seed) });
  const end = Math.round((BEGIN_SECONDS + 7 / baud + seconds) * RATE_HZ);
  const window = tuneWindow(
    { samples: samples.subarray(0, end), sampleRateHz: RATE_HZ, startSeconds: 0 },
    KEYING,
    null,
  );
  const reading = readOpening(window, OPENINGS, null, floor);
  window.elements.rest();
  return reading;
}

test('a call sign shows in its first characters, with the shift before it', () => {
  const reading = heardAfter(0.4, 'Q0DUN A 0123', 8, 1);
  expect(reading?.openedSeconds).toBeCloseTo(BEGIN_SECONDS, 2);
  expect(reading?.starts).toHaveLength(3);
  expect(reading?.evidence).toBeGreaterThan(40);
  expect(reading?.overText).toBeGreaterThan(8);
});

test.each([1, 2, 3, 4])('other text from the same tones does not look like it (seed %d)', (seed) => {
  const reading = heardAfter(0.5, 'VK7 XI 0123', 14, seed);
  expect(reading === null || reading.overText < 8.5).toBe(true);
});

test('nothing is made of few elements that hold little noise when more of it stood there before', () => {
  const quiet = heardAfter(0.4, 'Q0DUN A 0123', 8, 2);
  if (quiet === null) throw new Error('nothing was found');
  const { markLevel, noisePower } = quiet.level;
  expect(heardAfter(0.4, 'Q0DUN A 0123', 8, 2, noisePower / 2)).toEqual(quiet);
  expect(heardAfter(0.4, 'Q0DUN A 0123', 8, 2, markLevel ** 2)).toBeNull();
});
