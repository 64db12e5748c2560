import { afterEach, describe, expect, it, vi } from 'vitest';
import { encodeWav } from '../../../decoders/audio/wav-write.ts';
import { keepSenderKey } from '../../../web/api/sender-keys.ts';
import { burstSound, recordingSound } from '../../../web/sound/source.ts';

/** A sample says when it was: the same everywhere within a tenth of a second. */
const sampleAt = (index: number): number => Math.floor(index / 800) / 1000;

function answer(from: number, to: number): Response {
  const first = Math.round(from * 8000);
  const samples = Float32Array.from({ length: Math.round(to * 8000) - first }, (_, i) => sampleAt(first + i));
  return new Response(encodeWav(samples, { sampleRateHz: 8000, format: 'pcm16' }).slice().buffer);
}

const asked: { path: string; key: string | null }[] = [];

function serve(reply: (path: string) => Response): void {
  asked.length = 0;
  vi.stubGlobal('fetch', async (path: string, init: RequestInit) => {
    asked.push({ path, key: new Headers(init.headers).get('authorization') });
    return reply(path);
  });
}

afterEach(() => vi.unstubAllGlobals());

describe('the sound of a burst', () => {
  it('is fetched once, and silent beyond its stretch', async () => {
    serve(() => answer(5, 8));
    const sound = burstSound('r7', 2, { startSeconds: 5, endSeconds: 8 });
    const samples = await sound.read(4.5, 6);
    expect(samples).toHaveLength(12_000);
    expect(samples[3999]).toBe(0);
    expect(samples[4000]).toBeCloseTo(sampleAt(40_000), 4);
    expect(samples[11_999]).toBeCloseTo(sampleAt(47_999), 4);
    expect((await sound.read(7.9, 9)).subarray(800).every((sample) => sample === 0)).toBe(true);
    expect(asked.map(({ path }) => path)).toEqual(['/api/recordings/r7/bursts/2/audio']);
  });

  it('can be sampled', async () => {
    serve(() => answer(5, 8));
    const pieces = await burstSound('r7', 0, { startSeconds: 5, endSeconds: 8 }).sample(4, 8, 2);
    expect(pieces).toHaveLength(1024);
    expect(pieces[256]).toBeCloseTo(sampleAt(5 * 8000), 4);
    expect(pieces[512 + 256]).toBeCloseTo(sampleAt(7 * 8000), 4);
  });

  it('is asked for again after it could not be had', async () => {
    let down = true;
    serve(() => (down ? new Response('{}', { status: 503 }) : answer(5, 8)));
    const sound = burstSound('r7', 0, { startSeconds: 5, endSeconds: 8 });
    await expect(sound.read(5, 6)).rejects.toMatchObject({ status: 503 });
    down = false;
    expect(await sound.read(5, 6)).toHaveLength(8000);
  });
});

describe('the sound of a whole recording', () => {
  it('is fetched block by block, with the key of its sender', async () => {
    keepSenderKey('r8', 'a-key-of-its-sender');
    serve((path) => {
      const query = new URL(path, 'http://here').searchParams;
      return answer(Number(query.get('from')), Math.min(40, Number(query.get('to'))));
    });
    const sound = recordingSound('r8', 40);
    const samples = await sound.read(15, 34);
    expect(samples).toHaveLength(19 * 8000);
    for (const at of [0, 7999, 8000, 136_000, 151_999]) expect(samples[at]).toBeCloseTo(sampleAt(15 * 8000 + at), 4);
    await sound.read(16, 17);
    expect(asked).toEqual(
      [0, 16, 32].map((from) => ({
        path: `/api/recordings/r8/stretch?from=${from}&to=${from + 16}`,
        key: 'Bearer a-key-of-its-sender',
      })),
    );
    const end = await sound.read(39, 42);
    expect(end[7999]).toBeCloseTo(sampleAt(40 * 8000 - 1), 4);
    expect(end.subarray(8000).every((sample) => sample === 0)).toBe(true);
  });
});
