import { describe, expect, test } from 'vitest';
import type { Candidate } from '../../../decoders/frames/candidates.ts';
import { agreementByChance, uncheckedFields } from '../../../decoders/frames/check-worth.ts';
import { compileMission } from '../../../decoders/frames/compiled-mission.ts';
import { matchFrames } from '../../../decoders/frames/match.ts';
import { renderFrame } from '../../../decoders/frames/render.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import { encode } from '../../../decoders/teletype/alphabets.ts';
import { digitFrame, missionOf } from '../support/missions.ts';
import { heard } from '../support/soft.ts';

const SPACE = { text: ' ' };
const CRC = { checksum: 'crc-16/ibm-3740', hex: 4 };
const layoutOf = (parts: readonly unknown[]) => compileMission(missionOf({ a: parts }))[0];

describe('agreementByChance', () => {
  const digits = (checksum: string, hex: number) =>
    agreementByChance(layoutOf([...digitFrame(null), SPACE, { checksum, hex }]));

  test('a CRC: different frames agree as seldom as random texts', () => {
    expect(digits('crc-16/ibm-3740', 4)).toBe(0);
    expect(digits('crc-8/smbus', 2)).toBe(0);
  });

  test('a CRC in more digits than it needs: the first ones are always 0', () => {
    const excess = digits('crc-8/smbus', 4);
    expect(excess).toBeGreaterThan(Math.log(150));
    expect(excess).toBeLessThan(Math.log(290));
  });

  test('an exclusive or over digits: their upper four bits are all alike, so one value of 16 and not of 256', () => {
    const excess = digits('xor-8', 2);
    expect(excess).toBeGreaterThan(Math.log(12));
    expect(excess).toBeLessThan(Math.log(17));
  });

  test('two checksums over different fields: a frame that differs in one of them shares the checksum of the other', () => {
    const two = (first: object, second: object) => {
      const crc = { checksum: 'crc-8/smbus', hex: 2 };
      const fields = ['a', 'b'].flatMap((field) => [{ field, digits: 4 }, SPACE]);
      return agreementByChance(
        layoutOf([{ text: 'Q0DUN ' }, ...fields, { ...crc, ...first }, SPACE, { ...CRC, ...second }]),
      );
    };
    expect(two({}, {})).toBe(0);
    expect(two({ to: 'a' }, { from: 'b', to: 'b' })).toBeCloseTo(Math.log(65_536), 6);
    expect(two({ to: 'a' }, { to: 'b' })).toBeCloseTo(Math.log(256), 6);
  });

  test('a field of several widths or texts behind the checksum, or one that may be missing: its characters alone do not tell', () => {
    const late = (field: object) => agreementByChance(layoutOf([...digitFrame(null), SPACE, CRC, SPACE, field]));
    expect(late({ field: 'late', digits: 4 })).toBe(0);
    expect(late({ optional: [{ field: 'late', digits: 4 }, { text: 'K' }] })).toBeCloseTo(Math.log(65_536), 6);
    expect(late({ field: 'late', digits: [1, 3] })).toBeCloseTo(Math.log(65_536), 6);
    expect(late({ field: 'late', oneOf: ['NOM', 'SAFE'] })).toBeCloseTo(Math.log(65_536), 6);
  });

  test('without a checksum there is nothing to agree', () => {
    expect(agreementByChance(layoutOf(digitFrame(null)))).toBe(0);
  });
});

describe('uncheckedFields', () => {
  const HEAD = [{ text: 'Q0DUN ' }, { field: 'a', digits: 2 }, SPACE, { field: 'b', digits: 2 }, SPACE];
  const XOR = { checksum: 'xor-8', hex: 2 };
  const unchecked = (parts: readonly unknown[]) => {
    const layout = layoutOf(parts);
    const { edges } = layout.graph.printed;
    const items = edges.flatMap(({ characters }, edge): Candidate['items'] => {
      const part = layout.parts.partOfEdge[edge];
      if (part < 0) return [{ kind: 'character', edge, text: characters[0], slot: 0 }];
      if (edge > 0 && layout.parts.partOfEdge[edge - 1] === part) return [];
      const leap = { part, fromSlot: 0, fromState: 0, toSlot: 0, toState: 0, logSum: 0 };
      return [{ kind: 'leap', leap }];
    });
    return [...uncheckedFields(layout, { logWeight: 0, items, fromSlot: 0, toSlot: 0 })];
  };

  test.each([
    ['a checksum over all', [...HEAD, CRC], []],
    ['a field behind the checksum', [...HEAD, CRC, SPACE, { field: 'c', digits: 2 }], ['c']],
    ['a checksum up to a field', [...HEAD, { ...CRC, to: 'a' }], ['b']],
    ['a checksum from a field on', [...HEAD, { ...CRC, from: 'b' }], ['a']],
    ['a checksum over hex fields alone', [...HEAD, { field: 'h', hex: 2 }, { ...CRC, covers: 'bytes' }], ['a', 'b']],
    ['an exclusive or in which a field and its copy cancel out: the copy tells', [...HEAD, { again: 'a' }, XOR], []],
  ])('%s', (_, parts, fields) => {
    expect(unchecked(parts)).toEqual(fields);
  });
});

test('a checksum bears out no field that it does not cover: none is accepted wrongly', () => {
  const mission = missionOf({ a: [...digitFrame(null), SPACE, CRC, SPACE, { field: 'late', digits: 4 }] });
  let confirmed = 0;
  for (const [ebN0Db, count] of [
    [9, 40],
    [14, 5],
  ]) {
    for (let seed = 0; seed < count; seed++) {
      const random = new Random(seed);
      const values = Object.fromEntries(Array.from({ length: 9 }, (_, i) => [`f${i}`, random.integer(10_000)]));
      const sent = renderFrame(mission, 'a', { ...values, late: random.integer(10_000) });
      const soft = heard(encode(sent, 'ita2', { startShift: 'unknown' }), ebN0Db, random);
      for (const { frame } of matchFrames(soft, [mission])) {
        if (frame.trust === 'doubtful') continue;
        expect(frame.text).toBe(sent);
        confirmed++;
      }
    }
  }
  expect(confirmed).toBeGreaterThan(5);
});
