/**
 * A checksum as a small automaton, so that one definition serves plain checking and every search that carries the
 * state along: `finish(bytes.reduce(step, initial))` is the value.
 */
export interface Checksum {
  /** Canonical name, lower case. */
  readonly name: string;
  /** Values lie in 0 .. valueLimit - 1. */
  readonly valueLimit: number;
  /** Width of the value in bits; null for decimal check digits. */
  readonly widthBits: number | null;
  /** States lie in 0 .. stateCount - 1 (2^32 for 32-bit CRCs). */
  readonly stateCount: number;
  readonly initial: number;
  /** State after one more byte, 0..255. Allocates nothing. */
  step(state: number, byte: number): number;
  /** The value that a state stands for. */
  finish(state: number): number;
  /** The value of `bytes[start..end)`. */
  compute(bytes: Uint8Array, start?: number, end?: number): number;
}

/**
 * The checksum of that name (case does not matter, the catalogue's aliases count); null when there is none.
 *
 * CRC: the public catalogue's names. `xor-8`: exclusive or of all bytes. `sum-10`, `sum-100`, `sum-256`: sum of all
 * bytes to that modulus. `fletcher-16`: s2 * 256 + s1, both modulo 255 (Fletcher 1982). `mod-97-10`: ISO/IEC 7064, two
 * digits 02..98 over the digits and letters (A = 10 .. Z = 35) of the text; other characters, such as spaces, are skipped.
 */
export function checksumNamed(name: string): Checksum | null {
  const canonical = NAMES.get(name.toLowerCase());
  if (canonical === undefined) return null;
  let checksum = made.get(canonical.name);
  if (checksum === undefined) {
    checksum = canonical.make();
    made.set(canonical.name, checksum);
  }
  return checksum;
}

/** Canonical names of all checksums, for messages. */
export function checksumNames(): string[] {
  return [...new Set([...NAMES.values()].map((entry) => entry.name))];
}

interface CrcParameters {
  readonly widthBits: number;
  readonly poly: number;
  readonly init: number;
  readonly reflected: boolean;
  readonly xorOut: number;
}

type CrcRow = readonly [names: string, poly: number, init: number, reflected: boolean, xorOut: number];

// Greg Cook, Catalogue of parametrised CRC algorithms: canonical name, then aliases; polynomial without its top bit,
// most significant bit first; input and output reflected alike.
const CRC_ROWS: Readonly<Record<8 | 16 | 24 | 32, readonly CrcRow[]>> = {
  8: [
    ['autosar', 0x2f, 0xff, false, 0xff],
    ['bluetooth', 0xa7, 0x00, true, 0x00],
    ['cdma2000', 0x9b, 0xff, false, 0x00],
    ['darc', 0x39, 0x00, true, 0x00],
    ['dvb-s2', 0xd5, 0x00, false, 0x00],
    ['gsm-a', 0x1d, 0x00, false, 0x00],
    ['gsm-b', 0x49, 0x00, false, 0xff],
    ['hitag', 0x1d, 0xff, false, 0x00],
    ['i-432-1 crc-8/itu', 0x07, 0x00, false, 0x55],
    ['i-code', 0x1d, 0xfd, false, 0x00],
    ['lte', 0x9b, 0x00, false, 0x00],
    ['maxim-dow crc-8/maxim dow-crc', 0x31, 0x00, true, 0x00],
    ['mifare-mad', 0x1d, 0xc7, false, 0x00],
    ['nrsc-5', 0x31, 0xff, false, 0x00],
    ['opensafety', 0x2f, 0x00, false, 0x00],
    ['rohc', 0x07, 0xff, true, 0x00],
    ['sae-j1850', 0x1d, 0xff, false, 0xff],
    ['smbus crc-8', 0x07, 0x00, false, 0x00],
    ['tech-3250 crc-8/aes crc-8/ebu', 0x1d, 0xff, true, 0x00],
    ['wcdma', 0x9b, 0x00, true, 0x00],
  ],
  16: [
    ['arc crc-16 arc crc-16/lha crc-ibm', 0x8005, 0x0000, true, 0x0000],
    ['cdma2000', 0xc867, 0xffff, false, 0x0000],
    ['cms', 0x8005, 0xffff, false, 0x0000],
    ['dds-110', 0x8005, 0x800d, false, 0x0000],
    ['dect-r r-crc-16', 0x0589, 0x0000, false, 0x0001],
    ['dect-x x-crc-16', 0x0589, 0x0000, false, 0x0000],
    ['dnp', 0x3d65, 0x0000, true, 0xffff],
    ['en-13757', 0x3d65, 0x0000, false, 0xffff],
    ['genibus crc-16/darc crc-16/epc crc-16/epc-c1g2 crc-16/i-code', 0x1021, 0xffff, false, 0xffff],
    ['gsm', 0x1021, 0x0000, false, 0xffff],
    ['ibm-3740 crc-16/autosar crc-16/ccitt-false', 0x1021, 0xffff, false, 0x0000],
    ['ibm-sdlc crc-16/iso-hdlc crc-16/iso-iec-14443-3-b crc-16/x-25 crc-b x-25', 0x1021, 0xffff, true, 0xffff],
    ['iso-iec-14443-3-a crc-a', 0x1021, 0xc6c6, true, 0x0000],
    [
      'kermit crc-16/bluetooth crc-16/ccitt crc-16/ccitt-true crc-16/v-41-lsb crc-ccitt kermit',
      0x1021,
      0x0000,
      true,
      0x0000,
    ],
    ['lj1200', 0x6f63, 0x0000, false, 0x0000],
    ['m17', 0x5935, 0xffff, false, 0x0000],
    ['maxim-dow crc-16/maxim', 0x8005, 0x0000, true, 0xffff],
    ['mcrf4xx', 0x1021, 0xffff, true, 0x0000],
    ['modbus modbus', 0x8005, 0xffff, true, 0x0000],
    ['nrsc-5', 0x080b, 0xffff, true, 0x0000],
    ['opensafety-a', 0x5935, 0x0000, false, 0x0000],
    ['opensafety-b', 0x755b, 0x0000, false, 0x0000],
    ['profibus crc-16/iec-61158-2', 0x1dcf, 0xffff, false, 0xffff],
    ['riello', 0x1021, 0xb2aa, true, 0x0000],
    ['spi-fujitsu crc-16/aug-ccitt', 0x1021, 0x1d0f, false, 0x0000],
    ['t10-dif', 0x8bb7, 0x0000, false, 0x0000],
    ['teledisk', 0xa097, 0x0000, false, 0x0000],
    ['tms37157', 0x1021, 0x89ec, true, 0x0000],
    ['umts crc-16/buypass crc-16/verifone', 0x8005, 0x0000, false, 0x0000],
    ['usb', 0x8005, 0xffff, true, 0xffff],
    ['xmodem crc-16/acorn crc-16/lte crc-16/v-41-msb xmodem zmodem', 0x1021, 0x0000, false, 0x0000],
  ],
  24: [
    ['ble', 0x00065b, 0x555555, true, 0x000000],
    ['flexray-a', 0x5d6dcb, 0xfedcba, false, 0x000000],
    ['flexray-b', 0x5d6dcb, 0xabcdef, false, 0x000000],
    ['interlaken', 0x328b63, 0xffffff, false, 0xffffff],
    ['lte-a', 0x864cfb, 0x000000, false, 0x000000],
    ['lte-b', 0x800063, 0x000000, false, 0x000000],
    ['openpgp crc-24', 0x864cfb, 0xb704ce, false, 0x000000],
    ['os-9', 0x800063, 0xffffff, false, 0xffffff],
  ],
  32: [
    ['aixm crc-32q', 0x814141ab, 0x00000000, false, 0x00000000],
    ['autosar', 0xf4acfb13, 0xffffffff, true, 0xffffffff],
    ['base91-d crc-32d', 0xa833982b, 0xffffffff, true, 0xffffffff],
    ['bzip2 crc-32/aal5 crc-32/dect-b b-crc-32', 0x04c11db7, 0xffffffff, false, 0xffffffff],
    ['cd-rom-edc', 0x8001801b, 0x00000000, true, 0x00000000],
    ['cksum cksum crc-32/posix', 0x04c11db7, 0x00000000, false, 0xffffffff],
    [
      'iscsi crc-32/base91-c crc-32/castagnoli crc-32/interlaken crc-32/nvme crc-32c',
      0x1edc6f41,
      0xffffffff,
      true,
      0xffffffff,
    ],
    ['iso-hdlc crc-32 crc-32/adccp crc-32/v-42 crc-32/xz pkzip', 0x04c11db7, 0xffffffff, true, 0xffffffff],
    ['jamcrc jamcrc', 0x04c11db7, 0xffffffff, true, 0x00000000],
    ['mef', 0x741b8cd7, 0xffffffff, true, 0x00000000],
    ['mpeg-2', 0x04c11db7, 0xffffffff, false, 0x00000000],
    ['xfer xfer', 0x000000af, 0x00000000, false, 0x00000000],
  ],
};

interface NamedChecksum {
  readonly name: string;
  make(): Checksum;
}

const NAMES: ReadonlyMap<string, NamedChecksum> = namesOf();
const made = new Map<string, Checksum>();

function namesOf(): Map<string, NamedChecksum> {
  const names = new Map<string, NamedChecksum>();
  for (const widthBits of [8, 16, 24, 32] as const) {
    for (const [row, poly, init, reflected, xorOut] of CRC_ROWS[widthBits]) {
      const [short, ...aliases] = row.split(' ');
      const name = `crc-${widthBits}/${short}`;
      const entry = { name, make: () => crc(name, { widthBits, poly, init, reflected, xorOut }) };
      for (const each of [name, ...aliases]) names.set(each, entry);
    }
  }
  const others: readonly NamedChecksum[] = [
    { name: 'xor-8', make: xor8 },
    { name: 'sum-10', make: () => sum(10, null) },
    { name: 'sum-100', make: () => sum(100, null) },
    { name: 'sum-256', make: () => sum(256, 8) },
    { name: 'fletcher-16', make: fletcher16 },
    { name: 'mod-97-10', make: mod97 },
  ];
  for (const entry of others) names.set(entry.name, entry);
  return names;
}

function checksum(automaton: Omit<Checksum, 'compute'>): Checksum {
  const { initial, step, finish } = automaton;
  return {
    ...automaton,
    compute(bytes, start = 0, end = bytes.length) {
      let state = initial;
      for (let i = start; i < end; i++) state = step(state, bytes[i]);
      return finish(state);
    },
  };
}

function crc(name: string, parameters: CrcParameters): Checksum {
  const { widthBits, poly, init, reflected, xorOut } = parameters;
  const limit = 2 ** widthBits;
  const mask = limit - 1;
  const table = reflected ? reflectedTable(reverseBits(poly, widthBits)) : plainTable(poly, widthBits);
  const topByteShift = widthBits - 8;
  const step = reflected
    ? (state: number, byte: number) => (table[(state ^ byte) & 0xff] ^ (state >>> 8)) >>> 0
    : (state: number, byte: number) => ((table[((state >>> topByteShift) ^ byte) & 0xff] ^ (state << 8)) & mask) >>> 0;
  return checksum({
    name,
    widthBits,
    valueLimit: limit,
    stateCount: limit,
    initial: reflected ? reverseBits(init, widthBits) : init,
    step,
    finish: (state) => (state ^ xorOut) >>> 0,
  });
}

function reflectedTable(reversedPoly: number): Uint32Array {
  return Uint32Array.from({ length: 256 }, (_, byte) => {
    let value = byte;
    for (let bit = 0; bit < 8; bit++) value = value & 1 ? (value >>> 1) ^ reversedPoly : value >>> 1;
    return value;
  });
}

function plainTable(poly: number, widthBits: number): Uint32Array {
  const top = 2 ** (widthBits - 1);
  const mask = 2 ** widthBits - 1;
  return Uint32Array.from({ length: 256 }, (_, byte) => {
    let value = byte << (widthBits - 8);
    for (let bit = 0; bit < 8; bit++) value = ((value & top) !== 0 ? (value << 1) ^ poly : value << 1) & mask;
    return value;
  });
}

function reverseBits(value: number, widthBits: number): number {
  let reversed = 0;
  for (let bit = 0; bit < widthBits; bit++) reversed |= ((value >>> bit) & 1) << (widthBits - 1 - bit);
  return reversed >>> 0;
}

function xor8(): Checksum {
  return checksum({
    name: 'xor-8',
    widthBits: 8,
    valueLimit: 256,
    stateCount: 256,
    initial: 0,
    step: (state, byte) => state ^ byte,
    finish: (state) => state,
  });
}

function sum(modulus: number, widthBits: number | null): Checksum {
  return checksum({
    name: `sum-${modulus}`,
    widthBits,
    valueLimit: modulus,
    stateCount: modulus,
    initial: 0,
    step: (state, byte) => (state + byte) % modulus,
    finish: (state) => state,
  });
}

function fletcher16(): Checksum {
  return checksum({
    name: 'fletcher-16',
    widthBits: 16,
    valueLimit: 65536,
    stateCount: 65536,
    initial: 0,
    step: (state, byte) => {
      const s1 = ((state & 0xff) + byte) % 255;
      return ((((state >>> 8) + s1) % 255) << 8) | s1;
    },
    finish: (state) => state,
  });
}

function mod97(): Checksum {
  return checksum({
    name: 'mod-97-10',
    widthBits: null,
    valueLimit: 99,
    stateCount: 97,
    initial: 0,
    step: (state, byte) => {
      if (byte >= 48 && byte <= 57) return (state * 10 + byte - 48) % 97;
      if (byte >= 65 && byte <= 90) return (state * 100 + byte - 55) % 97;
      return state;
    },
    finish: (state) => 98 - ((state * 100) % 97),
  });
}
