import type { AudioInfo, AudioProblem, AudioReader } from '../../../decoders/audio/types.ts';
import { WavReader } from '../../../decoders/audio/wav.ts';

/** Bytes of a hand-made file: text as ASCII, numbers as given. */
export function bytes(...parts: (string | Uint8Array | readonly number[])[]): Uint8Array {
  return Uint8Array.from(parts.flatMap((p) => (typeof p === 'string' ? [...p].map((c) => c.charCodeAt(0)) : [...p])));
}

export const u16 = (x: number): number[] => [x & 255, (x >>> 8) & 255];
export const u32 = (x: number): number[] => [...u16(x & 0xffff), ...u16(x >>> 16)];

export function chunk(id: string, body: Uint8Array | readonly number[], size = body.length): Uint8Array {
  return bytes(id, u32(size), body, body.length % 2 === 1 ? [0] : []);
}

export interface Fmt {
  tag?: number;
  channels?: number;
  rate?: number;
  align?: number;
  bits?: number;
  more?: readonly number[];
}

export function fmt({ tag = 1, channels = 1, rate = 8000, bits = 16, align, more = [] }: Fmt = {}): Uint8Array {
  const frame = align ?? channels * Math.ceil(bits / 8);
  return chunk('fmt ', [
    ...u16(tag),
    ...u16(channels),
    ...u32(rate),
    ...u32(rate * frame),
    ...u16(frame),
    ...u16(bits),
    ...more,
  ]);
}

export function riff(...chunks: readonly Uint8Array[]): Uint8Array {
  const body = bytes('WAVE', ...chunks);
  return bytes('RIFF', u32(body.length), body);
}

export interface ReadResult {
  readonly info: AudioInfo | null;
  readonly problems: readonly AudioProblem[];
  readonly channels: number[][];
  readonly blockFrames: number[];
}

/** Feeds a file in pieces (lengths used in turn; one piece when none are given) and gathers what comes out. */
export function readAll(
  file: Uint8Array,
  pieces: readonly number[] = [file.length],
  reader: AudioReader = new WavReader(),
): ReadResult {
  const channels: number[][] = [];
  const blockFrames: number[] = [];
  const onBlock: Parameters<AudioReader['push']>[1] = (block) => {
    blockFrames.push(block.frames);
    block.channels.forEach((samples, c) => {
      channels[c] ??= [];
      for (let i = 0; i < block.frames; i++) channels[c].push(samples[i]);
    });
  };
  let at = 0;
  for (let i = 0; at < file.length; i++) {
    const length = Math.max(1, pieces[i % pieces.length] ?? file.length);
    reader.push(file.subarray(at, at + length), onBlock);
    at += length;
  }
  reader.end(onBlock);
  return { info: reader.info, problems: reader.problems, channels, blockFrames };
}

export function fromHex(hex: string): Uint8Array {
  return Uint8Array.from(hex.match(/../g) ?? [], (pair) => Number.parseInt(pair, 16));
}
