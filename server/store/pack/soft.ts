import type { SoftCharacters } from '../../../decoders/teletype/types.ts';
import { packCoherent, unpackCoherent } from './coherent.ts';

/**
 * Soft elements as bytes, version 3, little endian: version (1 byte), count (4), start of the first slot in seconds (8),
 * then for each slot its distance from the first in seconds (float32), then its seven log-likelihood ratios as measured, in units
 * of 1/32 nat (int16), which reach beyond the clearest signal. 13 bytes and 18 a character: about 0.8 kB for a frame of
 * 42 characters. Then the stretches through which the sender's phase holds, as `packCoherent` writes them. Version 2 had none, version 1
 * units of 1/64 nat besides.
 */
const VERSION = 3;
const STEPS_PER_NAT: Readonly<Record<number, number>> = { 1: 64, 2: 32, 3: 32 };
const FIRST_WITH_COHERENT = 3;
const HEADER_BYTES = 13;
const ELEMENTS = 7;
const STEPS_MAX = 32_767;

export function packSoft(soft: SoftCharacters): Uint8Array {
  const coherent = packCoherent(soft.coherent ?? []);
  const ownBytes = bytesOf(soft.count);
  const bytes = new Uint8Array(ownBytes + coherent.length);
  bytes.set(coherent, ownBytes);
  const view = new DataView(bytes.buffer);
  const first = soft.count > 0 ? soft.startSeconds[0] : 0;
  view.setUint8(0, VERSION);
  view.setUint32(1, soft.count, true);
  view.setFloat64(5, first, true);
  const elementsAt = HEADER_BYTES + 4 * soft.count;
  for (let slot = 0; slot < soft.count; slot++) {
    view.setFloat32(HEADER_BYTES + 4 * slot, soft.startSeconds[slot] - first, true);
  }
  for (let element = 0; element < soft.count * ELEMENTS; element++) {
    view.setInt16(elementsAt + 2 * element, steps(soft.elementLlr[element]), true);
  }
  return bytes;
}

/** Throws when the bytes are not what `packSoft` writes, or wrote. */
export function unpackSoft(bytes: Uint8Array): SoftCharacters {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const version = bytes.length < HEADER_BYTES ? 0 : view.getUint8(0);
  const stepsPerNat = STEPS_PER_NAT[version];
  if (stepsPerNat === undefined) {
    throw new Error(`soft elements of an unknown version, ${bytes.length} bytes`);
  }
  const count = view.getUint32(1, true);
  const hasCoherent = version >= FIRST_WITH_COHERENT;
  if (bytes.length < bytesOf(count) || (bytes.length > bytesOf(count) && !hasCoherent)) {
    throw new Error(`soft elements of ${count} characters do not fit ${bytes.length} bytes`);
  }
  const first = view.getFloat64(5, true);
  const startSeconds = new Float64Array(count);
  const elementLlr = new Float32Array(count * ELEMENTS);
  const elementsAt = HEADER_BYTES + 4 * count;
  for (let slot = 0; slot < count; slot++) startSeconds[slot] = first + view.getFloat32(HEADER_BYTES + 4 * slot, true);
  for (let element = 0; element < elementLlr.length; element++) {
    elementLlr[element] = view.getInt16(elementsAt + 2 * element, true) / stepsPerNat;
  }
  const coherent = hasCoherent ? unpackCoherent(bytes.subarray(bytesOf(count))) : [];
  return { count, startSeconds, elementLlr, ...(coherent.length > 0 && { coherent }) };
}

function bytesOf(count: number): number {
  return HEADER_BYTES + count * (4 + 2 * ELEMENTS);
}

function steps(llr: number): number {
  if (Number.isNaN(llr)) return 0;
  return Math.max(-STEPS_MAX, Math.min(STEPS_MAX, Math.round(llr * STEPS_PER_NAT[VERSION])));
}
