import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { encodeWav } from '../../../decoders/audio/wav-write.ts';
import {
  agreementOf,
  bandFacts,
  type CutOut,
  cutOut,
  findBursts,
  readingOf,
} from '../../../decoders/cut-outs/index.ts';
import type { DecodeOptions } from '../../../decoders/decode.ts';
import { readMission } from '../../../decoders/mission/read.ts';
import type { Mission } from '../../../decoders/mission/types.ts';
import { BAND_MISSION, bandOf, bandTexts } from '../support/band.ts';
import { decodeBytes } from '../support/wav.ts';

const samples = join(import.meta.dirname, '../../../samples');
const missions = [readMission(JSON.parse(readFileSync(join(samples, 'dunlin-1.json'), 'utf8'))).mission].filter(
  (mission): mission is Mission => mission !== null,
);
const wav = readFileSync(join(samples, 'dunlin-three.wav'));

function* inPieces(bytes: Uint8Array, size: number): Generator<Uint8Array> {
  for (let at = 0; at < bytes.length; at += size) yield bytes.subarray(at, at + size);
}

async function cutOutsOf(bytes: Uint8Array, size: number, options: DecodeOptions = { missions }): Promise<CutOut[]> {
  const found = await findBursts(inPieces(bytes, size), options);
  const cutOuts: CutOut[] = [];
  for await (const one of cutOut(inPieces(bytes, size), found, options)) cutOuts.push(one);
  return cutOuts;
}

const textsIn = (bytes: Uint8Array) =>
  decodeBytes(bytes, { missions }).bursts.flatMap(({ frames }) => frames.map(({ frame }) => frame.text));

describe('the cut-outs of a recording', () => {
  test('give the same frames as the recording, read alone', async () => {
    const cutOuts = await cutOutsOf(wav, 65_536);
    expect(cutOuts).toHaveLength(3);
    expect(cutOuts.flatMap(({ flac }) => textsIn(flac))).toEqual(textsIn(wav));
    expect(cutOuts.reduce((sum, { flac }) => sum + flac.length, 0)).toBeLessThan(wav.length);
  });

  test('are the same bytes whatever pieces the recording comes in: they can be sent again', async () => {
    const all = await cutOutsOf(wav, wav.length);
    expect((await cutOutsOf(wav, 7777)).map(({ flac }) => Buffer.from(flac).toString('base64'))).toEqual(
      all.map(({ flac }) => Buffer.from(flac).toString('base64')),
    );
  });

  test('are read the same again, and invented likelihoods are told from what is there', async () => {
    const [first, second] = await cutOutsOf(wav, 65_536);
    const own = decodeBytes(first.flac, { missions }).bursts.map(({ burst }) => burst);
    const { elements, agreeing } = agreementOf(readingOf(first), own);
    expect(elements).toBe(5 * first.bursts[0].soft.count);
    expect(agreeing / elements).toBeGreaterThan(0.99);
    const foreign = agreementOf(readingOf(second), own);
    expect(foreign.agreeing / foreign.elements).toBeLessThan(0.8);
    expect(agreementOf(readingOf(first), [])).toEqual({ elements, agreeing: 0 });
  });

  test('are none where nothing is heard', async () => {
    const silence = encodeWav(new Float32Array(80_000), { sampleRateHz: 8000, format: 'pcm16' });
    expect(await cutOutsOf(silence, 65_536)).toEqual([]);
  });
});

/** A pass right overhead: Doppler drifts by 67 Hz/s at the closest, in the midst of the first burst. */
describe.each([
  ['a keyed carrier', { kind: 'fsk' }, 27.6, 1700],
  ['tones on an FM carrier, below what a discriminator needs', { kind: 'fm', peakDeviationHz: 3000 }, 32, 1360],
] as const)('the cut-outs of a complex band with %s', (_name, modulation, cn0DbHz, heardHz) => {
  const texts = bandTexts(2);
  const { band, meta, data } = bandOf({
    texts,
    modulation,
    pass: { heightKm: 400, maxElevationDegrees: 90, closestSeconds: 8 },
    intervalSeconds: 20,
    startedAt: '2027-03-01T18:40:00.000Z',
    carrierHz: 145.9e6 - 1500,
    centerHz: 145.9e6,
    sampleRateHz: 22_050,
    cn0DbHz,
  });
  const options = { missions: [BAND_MISSION], sigmfMeta: meta };
  const cutting = cutOutsOf(data, 65_536, options);

  test('are sound, a burst each, which gives the same frames at a pitch that stands still', async () => {
    const cutOuts = await cutting;
    expect(cutOuts).toHaveLength(2);
    for (const [i, one] of cutOuts.entries()) {
      const { bursts, summary } = decodeBytes(one.flac, { missions: [BAND_MISSION] });
      expect(summary.info).toMatchObject({ channels: 1, sampleRateHz: 8000, simulated: true });
      expect(summary.seconds).toBeCloseTo(one.endSeconds - one.startSeconds, 2);
      expect(bursts.map(({ frames }) => frames.map(({ frame }) => [frame.text, frame.trust]))).toEqual([
        [[texts[i], 'confirmed']],
      ]);
      const [{ burst }] = bursts;
      expect(Math.abs((burst.markHz + burst.spaceHz) / 2 - heardHz)).toBeLessThan(10);
      const { elements, agreeing } = agreementOf(readingOf(one), [burst]);
      expect(agreeing / elements).toBeGreaterThan(0.95);
    }
  });

  test('take along where the carrier stood, in times of their own', async () => {
    for (const one of await cutting) {
      const [{ carrier }] = readingOf(one);
      expect(carrier).toMatchObject({ modulation: modulation.kind });
      for (const { seconds, carrierHz } of carrier?.track ?? []) {
        expect(Math.abs(carrierHz - band.carrierAt(seconds + one.startSeconds))).toBeLessThan(5);
      }
      expect(carrier?.track.length).toBeGreaterThan(7);
    }
  });

  test('are the same bytes whatever pieces the recording comes in', async () => {
    const bytes = (cutOuts: readonly CutOut[]) => cutOuts.map(({ flac }) => Buffer.from(flac).toString('base64'));
    expect(bytes(await cutOutsOf(data, 30_011, options))).toEqual(bytes(await cutting));
  });
});

test('what is known of the tuning goes along with bursts of a band', () => {
  const captures = [{ startSeconds: 0, centerHz: 145.9e6, startedAt: null }];
  expect(bandFacts({ captures })).toEqual({ centerHz: 145.9e6, tuning: 'unknown', referenceErrorPpm: null });
  expect(bandFacts({ captures, tuning: { mode: 'fixed', referenceErrorPpm: 2 } })).toMatchObject({ tuning: 'fixed' });
});
