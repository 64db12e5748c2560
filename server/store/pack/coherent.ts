import type { CoherentElements } from '../../../decoders/teletype/types.ts';

/**
 * Stretches through which a sender's phase holds, as bytes, little endian: their number (1 byte), then of each its first slot's start
 * and a character's length in seconds, the turns that a space makes (float64 each), biases of mark and space, length of the
 * stop element, slip, diffusion, and the unit of the sums (float32 each), slots (uint16), and 28 sums a slot in that unit (int8). A step
 * is below a tenth of the noise. 51 bytes and 28 a character: 1.8 kB for a frame of 63 characters with its shifts.
 */
const HEADER_BYTES = 50;
const SUMS_PER_SLOT = 28;
const STEPS_MAX = 127;

export function packCoherent(stretches: readonly CoherentElements[]): Uint8Array {
  const bytes = new Uint8Array(stretches.reduce((sum, { slots }) => sum + bytesOf(slots), 1));
  const view = new DataView(bytes.buffer);
  view.setUint8(0, stretches.length);
  let at = 1;
  for (const stretch of stretches) {
    const most = stretch.sums.reduce((largest, each) => Math.max(largest, Math.abs(each)), 0);
    const unit = most > 0 ? most / STEPS_MAX : 1;
    const doubles = [stretch.startSeconds, stretch.characterSeconds, stretch.turnsPerSpace];
    const { markBias, spaceBias, stopElements, slip, diffusion } = stretch;
    const singles = [markBias, spaceBias, stopElements, slip, diffusion, unit];
    for (const [i, value] of doubles.entries()) view.setFloat64(at + 8 * i, value, true);
    for (const [i, value] of singles.entries()) view.setFloat32(at + 24 + 4 * i, value, true);
    view.setUint16(at + 48, stretch.slots, true);
    const sums = new Int8Array(bytes.buffer, at + HEADER_BYTES, stretch.slots * SUMS_PER_SLOT);
    for (let i = 0; i < sums.length; i++) sums[i] = Math.round(stretch.sums[i] / unit);
    at += bytesOf(stretch.slots);
  }
  return bytes;
}

/** Throws when the bytes are not what `packCoherent` writes. */
export function unpackCoherent(bytes: Uint8Array): CoherentElements[] {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const stretches: CoherentElements[] = [];
  let at = 1;
  for (let left = bytes.length > 0 ? view.getUint8(0) : 0; left > 0; left--) {
    if (at + HEADER_BYTES > bytes.length) break;
    const slots = view.getUint16(at + 48, true);
    if (at + bytesOf(slots) > bytes.length) break;
    const [startSeconds, characterSeconds, turnsPerSpace] = [0, 8, 16].map((i) => view.getFloat64(at + i, true));
    const [markBias, spaceBias, stopElements, slip, diffusion, unit] = [24, 28, 32, 36, 40, 44].map((i) =>
      view.getFloat32(at + i, true),
    );
    const stored = new Int8Array(bytes.buffer, bytes.byteOffset + at + HEADER_BYTES, slots * SUMS_PER_SLOT);
    const sums = Float32Array.from(stored, (step) => step * unit);
    const phase = { turnsPerSpace, slip, diffusion };
    stretches.push({ startSeconds, characterSeconds, slots, sums, markBias, spaceBias, stopElements, ...phase });
    at += bytesOf(slots);
  }
  if (bytes.length === 0 || stretches.length !== bytes[0] || at !== bytes.length) {
    throw new Error(`coherent elements of ${bytes[0] ?? 0} stretches do not fit ${bytes.length} bytes`);
  }
  return stretches;
}

function bytesOf(slots: number): number {
  return HEADER_BYTES + slots * SUMS_PER_SLOT;
}
