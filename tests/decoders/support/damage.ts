import { Random } from '../../../decoders/simulate/random.ts';

/** The file cut short at `count` random places. */
export function truncations(file: Uint8Array, count: number, seed: number): Uint8Array[] {
  const random = new Random(seed);
  return Array.from({ length: count }, () => file.subarray(0, random.integer(file.length)));
}

/** The file with a share of its bytes, from `from` on, replaced by other ones. */
export function flipped(file: Uint8Array, share: number, seed: number, from = 0): Uint8Array {
  const random = new Random(seed);
  return file.map((byte, i) => (i >= from && random.uniform() < share ? byte ^ (1 + random.integer(255)) : byte));
}

/** The file without the bytes `from` to `to`. */
export function without(file: Uint8Array, from: number, to: number): Uint8Array {
  const rest = new Uint8Array(file.length - (to - from));
  rest.set(file.subarray(0, from));
  rest.set(file.subarray(to), from);
  return rest;
}

export function randomBytes(count: number, seed: number): Uint8Array {
  const random = new Random(seed);
  return Uint8Array.from({ length: count }, () => random.integer(256));
}
