import { expect, it, vi } from 'vitest';
import { randomBytes } from '../support/damage.ts';
import { readRecording, referenceAudio } from '../support/lossy.ts';
import { joined, packetPage, pagesOf } from './ogg/ogg-file.ts';
import { bytes, chunk, fmt, riff } from './wav-file.ts';

// A day of samples would take seconds: here a recording may last a minute.
vi.mock('../../../decoders/audio/length-limit.ts', () => ({ LONGEST_SECONDS: 60 }));

it('a recording longer than the longest is read that far, and said to be cut', async () => {
  const { seconds, problems } = await readRecording(
    riff(fmt({ rate: 8000 }), chunk('data', new Uint8Array(70 * 16_000))),
  );
  expect(seconds).toBeCloseTo(60, 0);
  expect(problems).toEqual([{ code: 'too-long', message: expect.stringMatching(/Cut it/), atSeconds: 60 }]);
});

it('a recording of just that length is read whole', async () => {
  const { seconds, problems } = await readRecording(riff(fmt({ rate: 8000 }), chunk('data', bytes(ramp(59.9 * 8000)))));
  expect(seconds).toBeCloseTo(59.9, 6);
  expect(problems).toEqual([]);
});

it('a position that jumps by years costs no more than the longest recording', async () => {
  const tone = referenceAudio('tone.opus');
  const [head, tags, sound] = pagesOf(tone);
  const far = packetPage([randomBytes(40, 3).with(0, 0x98)], { sequence: 900, granule: 10n ** 15n });
  const { seconds, problems } = await readRecording(
    joined(tone.subarray(head.at, tags.at + tags.size), tone.subarray(sound.at, sound.at + sound.size), far),
  );
  expect(seconds).toBeLessThan(60.2);
  expect(problems).toMatchObject([{ code: 'too-long', atSeconds: 60 }]);
});

function ramp(frames: number): Uint8Array {
  return new Uint8Array(Int16Array.from({ length: frames }, (_, i) => i % 1000).buffer);
}
