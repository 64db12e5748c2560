import { describe, expect, test } from 'vitest';
import { checkText, codesAsSent, coveredBytes, type PrintedWalk } from '../../../decoders/frames/coverage.ts';
import { compileGraph } from '../../../decoders/frames/printed-graph.ts';
import { matchPrinted } from '../../../decoders/frames/printed-match.ts';
import type { ChecksumPart, LayoutPart } from '../../../decoders/mission/types.ts';

const hex = (field: string, length: number): LayoutPart => ({
  part: 'field',
  field,
  form: { kind: 'hex', length },
  missing: ['//'],
});
const text = (literal: string): LayoutPart => ({ part: 'text', text: literal });
const check: ChecksumPart = {
  part: 'checksum',
  algorithm: 'xor-8',
  form: { kind: 'hex', length: 2 },
  covers: 'text',
  byteOrder: 'big',
};
const layout = [
  text('T1 '),
  hex('a', 2),
  text(' '),
  hex('b', 4),
  text(' '),
  { part: 'again', field: 'b', complement: false },
  text(' '),
  check,
] as LayoutPart[];

function walkOf(printed: string): PrintedWalk {
  const match = matchPrinted(compileGraph({ id: 'f', layout, repeats: 1 }), printed);
  if (!match.matched) throw new Error(`no match after ${match.fitted}`);
  return match.walk;
}

const asText = (bytes: Uint8Array | null) => (bytes === null ? null : String.fromCharCode(...bytes));
const isHex = () => true;
const ita2 = codesAsSent({ alphabet: 'ita2', shifts: {} });
const covered = (changes: Partial<ChecksumPart>, printed = 'T1  0A\r\n1B2C 1B2C 00') =>
  coveredBytes({ ...check, ...changes }, 0, walkOf(printed), ita2, isHex);

describe('coveredBytes', () => {
  test('text: from the first character up to the checksum, with single spaces, the one before it included', () => {
    expect(asText(covered({}))).toBe('T1 0A 1B2C 1B2C ');
  });

  test('from and to bound it by fields, both included', () => {
    expect(asText(covered({ from: 'a' }))).toBe('0A 1B2C 1B2C ');
    expect(asText(covered({ to: 'a' }))).toBe('T1 0A');
    expect(asText(covered({ from: 'a', to: 'b' }))).toBe('0A 1B2C');
  });

  test('bytes: what the hex fields spell, copies left out', () => {
    expect(covered({ covers: 'bytes' })).toEqual(Uint8Array.of(0x0a, 0x1b, 0x2c));
    expect(covered({ covers: 'bytes', from: 'b' })).toEqual(Uint8Array.of(0x1b, 0x2c));
    expect(covered({ covers: 'bytes' }, 'T1 // 1B2C 1B2C 00')).toBeNull();
  });

  test('codes: as sent, with the shifts inside but not the one before', () => {
    // T FIGS 1 SP, 0 LTRS A, SP, FIGS 1 LTRS B FIGS 2 LTRS C, SP, ... (ITU-T Rec. S.1)
    const word = [27, 23, 31, 25, 27, 19, 31, 14];
    expect([...(covered({ covers: 'codes' }) ?? [])]).toEqual([16, 27, 23, 4, 22, 31, 3, 4, ...word, 4, ...word, 4]);
    expect([...(covered({ covers: 'codes', from: 'b', to: 'b' }) ?? [])]).toEqual(word);
    expect([...codesAsSent({ alphabet: 'ita2', shifts: { repeat: 2, unshiftOnSpace: true } })('1 2')]).toEqual([
      23, 4, 27, 27, 19,
    ]);
  });
});

test('checkText prints in the form and byte order', () => {
  const crc: ChecksumPart = { ...check, algorithm: 'crc-16/ibm-3740', form: { kind: 'hex', length: 4 } };
  expect(checkText(crc, 0x1a2b)).toBe('1A2B');
  expect(checkText({ ...crc, byteOrder: 'little' }, 0x1a2b)).toBe('2B1A');
  expect(checkText({ ...crc, form: { kind: 'digits', min: 5, max: 5, decimals: 0 } }, 42)).toBe('00042');
});
