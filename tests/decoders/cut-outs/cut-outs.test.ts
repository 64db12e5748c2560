import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { encodeWav } from '../../../decoders/audio/wav-write.ts';
import { agreementOf, type CutOut, cutOut, findBursts, readingOf } from '../../../decoders/cut-outs/index.ts';
import { readMission } from '../../../decoders/mission/read.ts';
import type { Mission } from '../../../decoders/mission/types.ts';
import { decodeBytes } from '../support/wav.ts';

const samples = join(import.meta.dirname, '../../../samples');
const missions = [readMission(JSON.parse(readFileSync(join(samples, 'dunlin-1.json'), 'utf8'))).mission].filter(
  (mission): mission is Mission => mission !== null,
);
const wav = readFileSync(join(samples, 'dunlin-three.wav'));

function* inPieces(bytes: Uint8Array, size: number): Generator<Uint8Array> {
  for (let at = 0; at < bytes.length; at += size) yield bytes.subarray(at, at + size);
}

async function cutOutsOf(bytes: Uint8Array, size: number): Promise<CutOut[]> {
  const found = await findBursts(inPieces(bytes, size), { missions });
  const cutOuts: CutOut[] = [];
  for await (const one of cutOut(inPieces(bytes, size), found)) cutOuts.push(one);
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

  test('are not made of a complex band, which is said', async () => {
    const band = Array.from({ length: 2 }, (_, part) =>
      Float32Array.from({ length: 96_000 }, (_, i) => Math.cos(i / 5 - (part * Math.PI) / 2) / 4),
    );
    const bytes = encodeWav(band, { sampleRateHz: 48_000, format: 'float32' });
    const found = findBursts([bytes], { missions, iq: { centerHz: null } });
    await expect(found).rejects.toMatchObject({ code: 'iq-not-cut' });
  });
});
