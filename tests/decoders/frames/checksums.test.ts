import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Checksum, checksumNamed, checksumNames } from '../../../decoders/frames/checksums.ts';
// Greg Cook, Catalogue of parametrised CRC algorithms; Fletcher 1982; ISO/IEC 7064 (sources row by row in the file).
import reference from '../../reference/crc.json' with { type: 'json' };

const bytesOf = (text: string) => Uint8Array.from(text, (character) => character.charCodeAt(0));

function named(name: string): Checksum {
  const checksum = checksumNamed(name);
  if (checksum === null) throw new Error(`no checksum ${name}`);
  return checksum;
}

describe('CRC', () => {
  test.each(reference.crc)('$name', ({ name, aliases, width, check, computed }) => {
    for (const each of [name, ...aliases]) {
      const crc = named(each);
      expect(crc.name).toBe(name.toLowerCase());
      expect(crc.widthBits).toBe(width);
      expect(crc.compute(bytesOf('123456789'))).toBe(Number(check));
      for (const [text, value] of Object.entries(computed)) expect(crc.compute(bytesOf(text))).toBe(Number(value));
    }
  });

  // Check words (CRC of "123456789") of the further names: Cook's catalogue, from memory; parameters and check words
  // were written down apart, and a slip in either breaks the row.
  test.each(
    Object.entries({
      'crc-8/autosar': 0xdf,
      'crc-8/bluetooth': 0x26,
      'crc-8/cdma2000': 0xda,
      'crc-8/darc': 0x15,
      'crc-8/dvb-s2': 0xbc,
      'crc-8/gsm-a': 0x37,
      'crc-8/gsm-b': 0x94,
      'crc-8/hitag': 0xb4,
      'crc-8/i-432-1': 0xa1,
      'crc-8/i-code': 0x7e,
      'crc-8/lte': 0xea,
      'crc-8/mifare-mad': 0x99,
      'crc-8/nrsc-5': 0xf7,
      'crc-8/opensafety': 0x3e,
      'crc-8/rohc': 0xd0,
      'crc-8/sae-j1850': 0x4b,
      'crc-8/tech-3250': 0x97,
      'crc-8/wcdma': 0x25,
      'crc-16/cdma2000': 0x4c06,
      'crc-16/cms': 0xaee7,
      'crc-16/dds-110': 0x9ecf,
      'crc-16/dect-r': 0x007e,
      'crc-16/dect-x': 0x007f,
      'crc-16/dnp': 0xea82,
      'crc-16/en-13757': 0xc2b7,
      'crc-16/genibus': 0xd64e,
      'crc-16/gsm': 0xce3c,
      'crc-16/iso-iec-14443-3-a': 0xbf05,
      'crc-16/lj1200': 0xbdf4,
      'crc-16/m17': 0x772b,
      'crc-16/maxim-dow': 0x44c2,
      'crc-16/nrsc-5': 0xa066,
      'crc-16/opensafety-a': 0x5d38,
      'crc-16/opensafety-b': 0x20fe,
      'crc-16/profibus': 0xa819,
      'crc-16/riello': 0x63d0,
      'crc-16/spi-fujitsu': 0xe5cc,
      'crc-16/t10-dif': 0xd0db,
      'crc-16/teledisk': 0x0fb3,
      'crc-16/tms37157': 0x26b1,
      'crc-16/umts': 0xfee8,
      'crc-16/usb': 0xb4c8,
      'crc-24/ble': 0xc25a56,
      'crc-24/flexray-a': 0x7979bd,
      'crc-24/flexray-b': 0x1f23b8,
      'crc-24/interlaken': 0xb4f3e6,
      'crc-24/lte-a': 0xcde703,
      'crc-24/lte-b': 0x23ef52,
      'crc-24/openpgp': 0x21cf02,
      'crc-24/os-9': 0x200fa5,
      'crc-32/aixm': 0x3010bf7f,
      'crc-32/autosar': 0x1697d06a,
      'crc-32/base91-d': 0x87315576,
      'crc-32/bzip2': 0xfc891918,
      'crc-32/cd-rom-edc': 0x6ec2edc4,
      'crc-32/iscsi': 0xe3069283,
      'crc-32/jamcrc': 0x340bc6d9,
      'crc-32/mef': 0xd2c22f51,
      'crc-32/mpeg-2': 0x0376e6e7,
      'crc-32/xfer': 0xbd0be338,
    }),
  )('%s', (name, check) => {
    expect(named(name).compute(bytesOf('123456789'))).toBe(check);
  });

  test('every CRC of the catalogue here has a check word above', () => {
    expect(checksumNames().filter((name) => name.startsWith('crc-'))).toHaveLength(60 + reference.crc.length);
  });

  test('agrees with bit-by-bit division for random messages', () => {
    const names = reference.crc.map((row) => row.name);
    fc.assert(
      fc.property(fc.constantFrom(...names), fc.uint8Array({ maxLength: 40 }), (name, bytes) => {
        const row = reference.crc.find((each) => each.name === name);
        if (row === undefined) throw new Error(name);
        expect(named(name).compute(bytes)).toBe(bitByBit(row, bytes));
      }),
    );
  });
});

/** Rocksoft model, one bit at a time in big integers: slow, plain, and another way than the tables. */
function bitByBit(row: (typeof reference.crc)[number], bytes: Uint8Array): number {
  const width = BigInt(row.width);
  const reverse = (value: bigint, bits: bigint) => {
    let reversed = 0n;
    for (let bit = 0n; bit < bits; bit++) reversed = (reversed << 1n) | ((value >> bit) & 1n);
    return reversed;
  };
  let register = BigInt(row.init);
  for (const byte of bytes) {
    register ^= (row.refin ? reverse(BigInt(byte), 8n) : BigInt(byte)) << (width - 8n);
    for (let bit = 0; bit < 8; bit++) {
      const out = (register >> (width - 1n)) & 1n;
      register = ((register << 1n) & ((1n << width) - 1n)) ^ (out ? BigInt(row.poly) : 0n);
    }
  }
  return Number((row.refout ? reverse(register, width) : register) ^ BigInt(row.xorout));
}

describe('sums', () => {
  test.each(reference.simple_sums)('$ascii', ({ ascii, xor8, sum8, sum_mod_10 }) => {
    expect(named('xor-8').compute(bytesOf(ascii))).toBe(Number(xor8));
    expect(named('sum-256').compute(bytesOf(ascii))).toBe(sum8);
    expect(named('sum-10').compute(bytesOf(ascii))).toBe(sum_mod_10);
  });

  test('sum-100 is the sum modulo 100', () => {
    expect(named('sum-100').compute(bytesOf('123456789'))).toBe(477 % 100);
  });

  test.each(reference.fletcher16)('fletcher-16 of $ascii', ({ ascii, value }) => {
    expect(named('fletcher-16').compute(bytesOf(ascii))).toBe(value);
  });

  test.each(reference.mod97_10)('mod-97-10 of $digits', ({ digits, check }) => {
    expect(named('mod-97-10').compute(bytesOf(digits))).toBe(Number(check));
  });

  test('mod-97-10 counts letters 10 to 35 and skips other characters', () => {
    const [without, with33] = reference.mod97_10_alnum;
    expect(named('mod-97-10').compute(bytesOf(without.text))).toBe(Number(with33.check));
    expect(named('mod-97-10').compute(bytesOf('9695 00KSV493.XWY0PS -'))).toBe(Number(with33.check));
  });
});

describe('every checksum', () => {
  test.each(checksumNames())('%s: states and values stay in their ranges, slices are computed alone', (name) => {
    const checksum = named(name);
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 20 }), fc.nat(20), fc.nat(20), (bytes, a, b) => {
        const [start, end] = [Math.min(a, b, bytes.length), Math.min(Math.max(a, b), bytes.length)];
        let state = checksum.initial;
        for (const byte of bytes.subarray(start, end)) {
          state = checksum.step(state, byte);
          expect(state >= 0 && state < checksum.stateCount).toBe(true);
        }
        const value = checksum.finish(state);
        expect(value >= 0 && value < checksum.valueLimit).toBe(true);
        expect(checksum.compute(bytes, start, end)).toBe(value);
      }),
      { numRuns: 20 },
    );
  });

  test('an unknown name is null', () => {
    expect(checksumNamed('crc-16/none')).toBeNull();
    expect(checksumNamed('constructor')).toBeNull();
    expect(checksumNamed('')).toBeNull();
  });
});
