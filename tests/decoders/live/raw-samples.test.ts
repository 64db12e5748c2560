import { expect, test } from 'vitest';
import { bytesPerRawSample, RawSamples } from '../../../decoders/live/raw-samples.ts';

function samplesOf(reader: RawSamples, bytes: Uint8Array, piece: number): number[] {
  const out: number[] = [];
  for (let at = 0; at < bytes.length; at += piece) reader.push(bytes.subarray(at, at + piece), (s) => out.push(...s));
  return out;
}

const wave = Array.from({ length: 3000 }, (_, i) => Math.round(20_000 * Math.sin(i)));

test.each([1, 3, 1000, 100_000])('16-bit samples come whole from pieces of %d bytes', (piece) => {
  const bytes = new Uint8Array(Int16Array.from(wave).buffer);
  expect(samplesOf(new RawSamples('s16le'), bytes, piece)).toEqual(wave.map((x) => x / 32768));
});

test('of two channels the first is taken', () => {
  const bytes = new Uint8Array(Float32Array.from(wave.flatMap((x) => [x / 32768, 0.25])).buffer);
  expect(samplesOf(new RawSamples('f32le', 2), bytes, 777)).toEqual(wave.map((x) => x / 32768));
});

test('every encoding knows its size', () => {
  const sizes = (['u8', 's16le', 's24le', 's32le', 'f32le', 'f64le', 'alaw', 'mulaw'] as const).map(bytesPerRawSample);
  expect(sizes).toEqual([1, 2, 3, 4, 4, 8, 1, 1]);
});
