import { FiveunitError } from '../errors.ts';
import type { Beacon, ChecksumPart } from '../mission/types.ts';
import { encode, findCodes } from '../teletype/alphabets.ts';
import { checksumNamed } from './checksums.ts';
import { fieldText } from './field-form.ts';
import type { EdgeOwner } from './printed-graph.ts';

/** What a printed character belongs to, without which word of the literals it is. */
export type CharacterOwner = Exclude<EdgeOwner, { kind: 'text' }> | { readonly kind: 'text' };

/** A frame's printed characters in order, each with what it belongs to: one walk through its graph. */
export type PrintedWalk = readonly { readonly character: string; readonly owner: CharacterOwner }[];

/** The five-unit codes of a text as a beacon sends them, from the code of its first character on. */
export type CodesAsSent = (text: string) => readonly number[];

/**
 * How the beacon of a mission keys a text, as far as its definition says: shifts where the case changes, with the habits
 * under `shifts`. The shift that a sender may put before the first character does not count.
 */
export function codesAsSent(beacon: Pick<Beacon, 'alphabet' | 'shifts'>): CodesAsSent {
  const { unshiftOnSpace = false, repeat = 1 } = beacon.shifts;
  return (text) => {
    const first = text === '' ? null : findCodes(text[0], beacon.alphabet);
    const startShift = first === null || first.shift === 'both' ? 'unknown' : first.shift;
    return encode(text, beacon.alphabet, { unshiftOnSpace, repeatShifts: repeat, startShift });
  };
}

/**
 * The bytes that check number `index` is computed over, given the whole printed frame: the ASCII codes of the text, the
 * five-unit codes, or the bytes that the hex fields spell; from the frame's first character or that of the field `from`, up to the
 * check or to the last character of the field `to`. Copies of fields are no hex fields. Null when a hex field holds no hex
 * digits (a "no value" text) or their number is odd.
 */
export function coveredBytes(
  check: ChecksumPart,
  index: number,
  walk: PrintedWalk,
  codesOf: CodesAsSent,
  isHex: (field: string) => boolean,
): Uint8Array | null {
  const belongsTo = (field: string) => (each: PrintedWalk[number]) =>
    each.owner.kind === 'field' && each.owner.field === field;
  const start = check.from === undefined ? 0 : walk.findIndex(belongsTo(check.from));
  const end =
    check.to === undefined
      ? walk.findIndex(({ owner }) => owner.kind === 'check' && owner.index === index)
      : walk.findLastIndex(belongsTo(check.to)) + 1;
  if (start < 0 || end < start) return null;
  const textOf = (characters: PrintedWalk) => characters.map(({ character }) => character).join('');
  switch (check.covers) {
    case 'text':
      return Uint8Array.from(walk.slice(start, end), ({ character }) => character.charCodeAt(0));
    case 'codes':
      return Uint8Array.from(codesOf(textOf(walk.slice(0, end))).slice(codesOf(textOf(walk.slice(0, start))).length));
    case 'bytes':
      return bytesSpelled(
        textOf(walk.slice(start, end).filter(({ owner }) => owner.kind === 'field' && isHex(owner.field))),
      );
  }
}

/** How a check's value is printed; throws `unknown-checksum` and `value-does-not-fit`. */
export function checkText(check: ChecksumPart, value: number): string {
  const widthBits = checksumNamed(check.algorithm)?.widthBits ?? null;
  return fieldText(
    check.form,
    check.byteOrder === 'little' && widthBits !== null ? swapBytes(value, widthBits) : value,
  );
}

/** The text that check number `index` of this printed frame should have; null where `coveredBytes` is. */
export function rightCheckText(
  check: ChecksumPart,
  index: number,
  walk: PrintedWalk,
  codesOf: CodesAsSent,
  isHex: (field: string) => boolean,
): string | null {
  const checksum = checksumNamed(check.algorithm);
  if (checksum === null) throw new FiveunitError('unknown-checksum', `There is no checksum ${check.algorithm}`);
  const bytes = coveredBytes(check, index, walk, codesOf, isHex);
  return bytes === null ? null : checkText(check, checksum.compute(bytes));
}

function bytesSpelled(hex: string): Uint8Array | null {
  if (hex.length % 2 !== 0 || !/^[0-9A-F]*$/.test(hex)) return null;
  return Uint8Array.from({ length: hex.length / 2 }, (_, i) => Number.parseInt(hex.slice(2 * i, 2 * i + 2), 16));
}

function swapBytes(value: number, widthBits: number): number {
  let swapped = 0;
  for (let bit = 0, rest = value; bit < widthBits; bit += 8, rest = Math.floor(rest / 256)) {
    swapped = swapped * 256 + (rest % 256);
  }
  return swapped;
}
