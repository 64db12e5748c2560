import { describe, expect, it } from 'vitest';
import { opusPacketSamples } from '../../../../decoders/audio/ogg/opus-packet.ts';

const toc = (config: number, code: number) => (config << 3) | code;
const packet = (head: readonly number[], length: number) => {
  const all = new Uint8Array(length);
  all.set(head);
  return all;
};

// RFC 6716, section 3.1 (table 2) and section 3.2, read at 48 kHz.
describe('opusPacketSamples', () => {
  it.each([
    [0, 480],
    [3, 2880],
    [11, 2880],
    [12, 480],
    [15, 960],
    [16, 120],
    [31, 960],
  ])('configuration %i: %i samples a frame', (config, samples) => {
    expect(opusPacketSamples(packet([toc(config, 0)], 20))).toBe(samples);
  });

  it('counts the frames of a packet', () => {
    expect(opusPacketSamples(packet([toc(19, 1)], 21))).toBe(1920);
    expect(opusPacketSamples(packet([toc(19, 2), 5], 21))).toBe(1920);
    expect(opusPacketSamples(packet([toc(19, 3), 6], 2 + 60))).toBe(5760);
    expect(opusPacketSamples(packet([toc(19, 3), 128 | 3, 10, 12], 4 + 40))).toBe(2880);
    expect(opusPacketSamples(packet([toc(19, 3), 64 | 3, 255, 9], 4 + 30 + 254 + 9))).toBe(2880);
  });

  it.each([
    ['R1, no byte', new Uint8Array()],
    ['R2, a frame above 1275 bytes', packet([toc(19, 0)], 1277)],
    ['R3, two equal frames of an odd length', packet([toc(19, 1)], 20)],
    ['R4, a first frame beyond the end', packet([toc(19, 2), 30], 21)],
    ['R4, half a length', packet([toc(19, 2), 253], 2)],
    ['R5, no frame', packet([toc(19, 3), 0], 20)],
    ['R5, above 120 ms', packet([toc(19, 3), 7], 2 + 70)],
    ['R6, frames of unequal length', packet([toc(19, 3), 3], 2 + 10)],
    ['R6, more padding than packet', packet([toc(19, 3), 64 | 1, 200], 20)],
    ['R7, lengths beyond the end', packet([toc(19, 3), 128 | 3, 10, 12], 20)],
    ['no count', packet([toc(19, 3)], 1)],
  ])('refuses %s', (_, wrong) => {
    expect(opusPacketSamples(wrong)).toBeNull();
  });
});
