import { describe, expect, test } from 'vitest';
import { encodeWav } from '../../decoders/audio/wav-write.ts';
import { knownBeacons } from '../../decoders/frames/known-beacons.ts';
import { renderFrame } from '../../decoders/frames/render.ts';
import { MissionPresence } from '../../decoders/presence.ts';
import type { Sighting } from '../../decoders/signal/known/search.ts';
import { Random } from '../../decoders/simulate/random.ts';
import { FAINT, faintPass } from './support/faint-pass.ts';
import { digitFrame, missionOf } from './support/missions.ts';
import { type BurstEvent, decodeBytes } from './support/wav.ts';

const RATE_HZ = 8000;
const INTERVAL_SECONDS = 25;
const MISSION = missionOf({ a: digitFrame('crc-16/ibm-3740') }, { intervalSeconds: INTERVAL_SECONDS });

const textOf = (random: Random) =>
  renderFrame(MISSION, 'a', Object.fromEntries(Array.from({ length: 9 }, (_, i) => [`f${i}`, random.integer(10_000)])));
const recording = (ebN0Db: number, seed: number) => faintPass(textOf, ebN0Db, seed);

describe('a recording', () => {
  test('of a beacon at -3 dB says that it is there, where, and how faint', () => {
    const { bursts, summary } = decodeBytes(recording(-3, 1), { missions: [MISSION] });
    expect(bursts.flatMap(({ frames }) => frames).filter(({ frame }) => frame.trust !== 'doubtful')).toEqual([]);
    expect(summary.presence).toHaveLength(1);
    const [presence] = summary.presence;
    expect(presence.mission).toBe(MISSION.id);
    expect(Math.abs(presence.markHz - FAINT.markHz)).toBeLessThan(12);
    expect(presence.spaceHz - presence.markHz).toBeCloseTo(170, 6);
    expect(presence.ebN0Db).toBeCloseTo(-3, 0);
    expect(presence.intervalSeconds).toBeCloseTo(FAINT.intervalSeconds, 1);
    expect(presence.transmissions).toBeGreaterThanOrEqual(6);
    expect(presence.falseAlarmProbability).toBeLessThan(1e-3);
  });

  test('is the same in pieces of any size', () => {
    const bytes = recording(-4, 2);
    const whole = decodeBytes(bytes, { missions: [MISSION] });
    expect(decodeBytes(bytes, { missions: [MISSION] }, 77_777)).toEqual(whole);
  });

  test('of which something was read says nothing more of it', () => {
    const { bursts, summary } = decodeBytes(recording(9, 3), { missions: [MISSION] });
    expect(bursts.length).toBe(10);
    expect(summary.presence).toEqual([]);
  });

  test('of noise alone says nothing', () => {
    const samples = new Float32Array(260 * RATE_HZ);
    new Random(4).addGaussian(samples, 0.1);
    const wav = encodeWav(samples, { sampleRateHz: RATE_HZ, format: 'pcm16' });
    expect(decodeBytes(wav, { missions: [MISSION] }).summary.presence).toEqual([]);
  });
});

describe('sightings', () => {
  const [beacon] = knownBeacons([MISSION], null);
  const sightingAt = (startSeconds: number): Sighting => ({
    startSeconds,
    pattern: 0,
    offsetHz: 5,
    score: 6,
    likeness: null,
    excess: 0.3,
    ebN0: 1,
    literal: 0.2,
    startStop: 0.2,
  });
  const starts = Array.from({ length: 10 }, (_, k) => 5 + 25 * k);
  const burstAt = (startSeconds: number, ebN0Db: number, markHz = 1280): BurstEvent => ({
    type: 'burst',
    frames: [],
    burst: {
      soft: { count: 0, startSeconds: new Float64Array(0), elementLlr: new Float32Array(0) },
      text: 'SOMEBODY ELSE',
      alternativeText: null,
      characters: [],
      startSeconds: startSeconds - 0.5,
      endSeconds: startSeconds + 10,
      baud: 50,
      markHz,
      spaceHz: markHz + 170,
      reversed: false,
      stopElements: 1.5,
      driftHzPerSecond: 0,
      ebN0Db,
    },
  });

  function presenceWith(event: (startSeconds: number) => BurstEvent | null) {
    const presence = new MissionPresence();
    const see = presence.watch(beacon);
    for (const startSeconds of starts) {
      see(sightingAt(startSeconds));
      const burst = event(startSeconds);
      if (burst) presence.take(burst);
    }
    return presence.end(260);
  }

  test('at the interval are the beacon', () => {
    expect(presenceWith(() => null)).toMatchObject([{ mission: MISSION.id, markHz: 1280, transmissions: 10 }]);
  });

  test('on one channel of two are as sure as two chances to be wrong allow', () => {
    const presence = new MissionPresence();
    const see = presence.watch(beacon);
    presence.watch(beacon);
    for (const startSeconds of starts) see(sightingAt(startSeconds));
    const [alone] = presenceWith(() => null);
    const [{ falseAlarmProbability }] = presence.end(260);
    expect(falseAlarmProbability).toBeCloseTo(2 * alone.falseAlarmProbability, 12);
  });

  test('of bursts that were found, but too faint to read, count', () => {
    expect(presenceWith((startSeconds) => burstAt(startSeconds, 1))).toHaveLength(1);
  });

  test('of clear bursts of nobody known do not, unless they are on other tones', () => {
    expect(presenceWith((startSeconds) => burstAt(startSeconds, 9))).toEqual([]);
    expect(presenceWith((startSeconds) => burstAt(startSeconds, 9, 2000))).toHaveLength(1);
  });

  test('of a mission without interval tell nothing', () => {
    const [silent] = knownBeacons([missionOf({ a: digitFrame(null) })], null);
    const presence = new MissionPresence();
    const see = presence.watch(silent);
    for (const startSeconds of starts) see(sightingAt(startSeconds));
    expect(presence.end(260)).toEqual([]);
  });
});
