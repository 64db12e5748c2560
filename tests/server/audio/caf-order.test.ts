import { describe, expect, it } from 'vitest';
import { soundLast } from '../../../server/audio/caf-order.ts';
import { bytes } from '../../decoders/audio/wav-file.ts';
import { flipped, randomBytes, truncations } from '../../decoders/support/damage.ts';

const be32 = (x: number): number[] => [(x >>> 24) & 255, (x >>> 16) & 255, (x >>> 8) & 255, x & 255];
const chunk = (type: string, body: Uint8Array | readonly number[], size = body.length): Uint8Array =>
  bytes(type, size < 0 ? new Array(8).fill(255) : [...be32(0), ...be32(size)], body);

const head = bytes('caff', [0, 1, 0, 0]);
const desc = chunk('desc', randomBytes(32, 1));
const cookie = chunk('kuki', [1, 2, 3]);
const packets = chunk('pakt', randomBytes(60, 2));
const sound = chunk('data', randomBytes(500, 3));
/** The same when nobody knows its size. */
const open = chunk('data', randomBytes(500, 3), -1);
const other = chunk('info', bytes('somebody'));

const ordered = (file: Uint8Array): Uint8Array =>
  bytes(...soundLast((at, length) => file.subarray(at, at + length), file.length));

describe('soundLast', () => {
  it('puts the table of packets before the sound and leaves out what is not needed', () => {
    expect(ordered(bytes(head, desc, other, cookie, sound, packets))).toEqual(bytes(head, desc, cookie, packets, open));
  });

  it('takes sound of unknown size to the end', () => {
    expect(ordered(bytes(head, desc, other, open))).toEqual(bytes(head, desc, open));
  });

  it('leaves alone what is no such file', () => {
    for (const file of [bytes(head, sound), bytes(head, desc), head, randomBytes(300, 4)]) {
      expect(ordered(file)).toEqual(file);
    }
  });

  it('ends, and makes nothing longer, whatever the bytes', () => {
    const whole = bytes(head, desc, other, cookie, sound, packets);
    for (const file of [
      ...truncations(whole, 100, 5),
      ...Array.from({ length: 100 }, (_, i) => flipped(whole, 0.01, i)),
    ]) {
      expect(ordered(file).length).toBeLessThanOrEqual(file.length);
    }
  });
});
