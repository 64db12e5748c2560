import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { combine, type FrameCopy } from '../../../decoders/frames/combine.ts';
import { renderFrame } from '../../../decoders/frames/render.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import type { SoftCharacters } from '../../../decoders/teletype/types.ts';
import { copyOf, hearingOf } from '../support/copies.ts';
import { digitFrame, missionOf } from '../support/missions.ts';

const CRC16 = missionOf({ a: digitFrame('crc-16/ibm-3740') });
const CRC8 = missionOf({ a: digitFrame('crc-8/smbus', 2) });
const PLAIN = missionOf({ a: digitFrame(null) });

function textOf(mission: typeof CRC16, seed: number, change: Record<string, number> = {}): string {
  const random = new Random(seed);
  const values = Object.fromEntries(Array.from({ length: 9 }, (_, i) => [`f${i}`, random.integer(9000)]));
  return renderFrame(mission, 'a', { ...values, ...change });
}

const stations = (
  count: number,
  text: string,
  mission: typeof CRC16,
  ebN0Db: number,
  random: Random,
  unread = false,
): FrameCopy[] =>
  Array.from({ length: count }, (_, k) => copyOf(text, mission, { ebN0Db, random, unread, station: `Q${k}LARK` }));

/** Another recording of what a copy holds: begun later, a little louder. */
function rerecorded(copy: FrameCopy, mission: typeof CRC16, station: string): FrameCopy {
  const soft: SoftCharacters = {
    ...copy.soft,
    startSeconds: copy.soft.startSeconds.map((start) => start + 1.7),
    elementLlr: copy.soft.elementLlr.map((llr) => llr * 0.97),
  };
  return hearingOf(soft, mission, copy.ebN0Db - 0.1, station);
}

describe('copies of one transmission', () => {
  test('four stations at 6 dB confirm what at that level none of them can', () => {
    const random = new Random(4);
    let confirmed = 0;
    for (let seed = 0; seed < 4; seed++) {
      const text = textOf(CRC16, seed);
      const copies = stations(4, text, CRC16, 6, random, true);
      const result = combine(copies, [CRC16]);
      expect(result?.copies.map(({ belonging }) => belonging)).toEqual(['belongs', 'belongs', 'belongs', 'belongs']);
      if (result?.frame.trust !== 'confirmed') continue;
      expect(result.frame.text).toBe(text);
      confirmed++;
    }
    expect(confirmed).toBeGreaterThanOrEqual(3);
  });

  test('are read the same in whatever order they come', () => {
    const random = new Random(11);
    const copies = [
      ...stations(2, textOf(CRC8, 1), CRC8, 7, random),
      copyOf(textOf(CRC8, 1), CRC8, { ebN0Db: 9, random, station: 'Q7LARK' }),
      copyOf(textOf(CRC8, 2), CRC8, { ebN0Db: 9, random, station: 'Q8LARK' }),
    ];
    const inOrder = combine(copies, [CRC8]);
    fc.assert(
      fc.property(fc.shuffledSubarray(copies, { minLength: 4 }), (shuffled) => {
        const result = combine(shuffled, [CRC8]);
        expect(result?.frame).toEqual(inOrder?.frame);
        for (const [i, copy] of shuffled.entries()) {
          expect(result?.copies[i]).toEqual(inOrder?.copies[copies.indexOf(copy)]);
        }
      }),
      { numRuns: 8 },
    );
  });

  test('add up to the level of their sum: two at 7.5 dB are as good as one at 10 dB', () => {
    const random = new Random(21);
    let pairs = 0;
    let singles = 0;
    for (let seed = 0; seed < 16; seed++) {
      const text = textOf(CRC16, seed);
      const pair = combine(stations(2, text, CRC16, 7.5, random, true), [CRC16]);
      if (pair?.frame.text === text && pair.frame.trust === 'confirmed') pairs++;
      // Noncoherent addition loses about half a decibel of the three.
      const single = copyOf(text, CRC16, { ebN0Db: 10, random }).alone?.frame;
      if (single?.text === text && single.trust === 'confirmed') singles++;
    }
    expect(pairs).toBeGreaterThanOrEqual(13);
    expect(Math.abs(pairs - singles)).toBeLessThanOrEqual(3);
  });

  test('whose beginning was missed still help', () => {
    const random = new Random(3);
    const text = textOf(CRC16, 5);
    const whole = copyOf(text, CRC16, { ebN0Db: 7, random, unread: true });
    const cut = copyOf(text, CRC16, { ebN0Db: 13, random, station: 'Q2LARK', missed: 25 });
    const result = combine([whole, cut], [CRC16]);
    expect(result?.frame).toMatchObject({ text, trust: 'confirmed', complete: true });
    const [, { slots }] = result?.copies ?? [];
    expect(slots.filter((slot) => slot < 0).length).toBeGreaterThan(15);
    expect(slots.at(-1)).toBeGreaterThan(30);
  });

  test('of which each misses another part make one whole frame', () => {
    const random = new Random(8);
    const text = textOf(CRC16, 6);
    const end = copyOf(text, CRC16, { ebN0Db: 13, random, missed: 20 });
    const whole = copyOf(text, CRC16, { ebN0Db: 13, random, station: 'Q2LARK' });
    const begun = hearingOf(firstSlots(whole.soft, 45), CRC16, 13, 'Q2LARK');
    expect([end, begun].map(({ alone }) => alone?.frame.complete)).toEqual([false, false]);
    const result = combine([end, begun], [CRC16]);
    expect(result?.frame).toMatchObject({ text, trust: 'confirmed', complete: true });
  });

  test('in which nothing was read are tried where they may lie', () => {
    const random = new Random(14);
    const text = textOf(CRC16, 7);
    const [first, second] = stations(2, text, CRC16, 7.5, random, true);
    const somewhere = { ...second, fromSlot: 0, toSlot: second.soft.count };
    expect(combine([first, somewhere], [CRC16])?.copies[1].belonging).toBe('belongs');
  });

  test('frames stand in the clearest copy: its slots and its seconds', () => {
    const random = new Random(15);
    const text = textOf(CRC16, 8);
    const weak = copyOf(text, CRC16, { ebN0Db: 7, random, unread: true });
    const clear = copyOf(text, CRC16, { ebN0Db: 12, random, station: 'Q2LARK' });
    const result = combine([weak, clear], [CRC16]);
    expect(result?.lead).toBe(1);
    expect(result?.frame.startSeconds).toBeCloseTo(clear.alone?.frame.startSeconds ?? 0, 6);
    expect(result?.frame.characters.map(({ slot }) => slot)).toEqual(
      clear.alone?.frame.characters.map(({ slot }) => slot),
    );
    expect(result?.copies[1].slots).toEqual(result?.frame.characters.map(({ slot }) => slot));
  });

  test('a character that the timing of one copy made up or lost throws nothing out of step', () => {
    const random = new Random(16);
    const text = textOf(CRC16, 9);
    const [a, b] = stations(2, text, CRC16, 9, random);
    const holed = hearingOf(withoutSlot(b.soft, 30), CRC16, 9, 'Q2LARK');
    const result = combine([a, holed], [CRC16]);
    expect(result?.frame).toMatchObject({ text, trust: 'confirmed' });
    expect(result?.copies[1].slots.filter((slot) => slot < 0)).toHaveLength(1);
  });
});

describe('copies with the same noise', () => {
  test.each([6, 9, 14, 22])('count once, %d dB', (ebN0Db) => {
    const random = new Random(ebN0Db);
    const text = textOf(CRC16, ebN0Db);
    const [a, b] = stations(2, text, CRC16, ebN0Db, random);
    const again = rerecorded(a, CRC16, 'Q9LARK');
    const result = combine([a, again, b], [CRC16]);
    expect(result?.copies.map(({ belonging }) => belonging)).toEqual(['belongs', 'same-noise', 'belongs']);
    expect(result?.frame).toEqual(combine([a, b], [CRC16])?.frame);
  });

  test('alone give what the better of them gave', () => {
    const copy = copyOf(textOf(CRC16, 1), CRC16, { ebN0Db: 8, random: new Random(1) });
    const result = combine([rerecorded(copy, CRC16, 'Q9LARK'), copy], [CRC16]);
    expect(result?.frame).toEqual(copy.alone?.frame);
    expect(result?.lead).toBe(1);
  });
});

describe('a frame without a checksum', () => {
  const hear = (seed: number, names: readonly string[], ebN0Db = 13) => {
    const random = new Random(seed);
    return names.map((station) => copyOf(textOf(PLAIN, seed), PLAIN, { ebN0Db, random, station }));
  };

  test('is confirmed when two stations each read it', () => {
    const result = combine(hear(1, ['Q1LARK', 'Q2LARK']), [PLAIN]);
    expect(result?.frame).toMatchObject({ text: textOf(PLAIN, 1), trust: 'confirmed', checksum: 'none' });
  });

  test('is not by one station twice, nor by one receiver under two names', () => {
    expect(combine(hear(1, ['Q1LARK', 'Q1LARK']), [PLAIN])?.frame.trust).toBe('probable');
    const [copy] = hear(1, ['Q1LARK']);
    const twice = combine([copy, rerecorded(copy, PLAIN, 'Q2LARK')], [PLAIN]);
    expect(twice?.frame.trust).toBe('probable');
  });

  test('is not when one of them could not read it alone', () => {
    const [weak] = hear(2, ['Q1LARK'], 8);
    const strong = copyOf(textOf(PLAIN, 2), PLAIN, { ebN0Db: 13, random: new Random(99), station: 'Q2LARK' });
    expect(weak.alone?.frame.trust).toBe('doubtful');
    expect(combine([weak, strong], [PLAIN])?.frame).toMatchObject({ text: textOf(PLAIN, 2), trust: 'probable' });
  });
});

describe('a copy that does not belong', () => {
  test.each([
    ['another frame', CRC16, {}],
    ['the next frame, one digit on', CRC16, { f0: 1 }],
    ['the next frame, three on, without a checksum', PLAIN, { f0: 3 }],
  ])('%s, clearly heard, is left out', (_, mission, change) => {
    const random = new Random(31);
    const text = textOf(mission, 1, { f0: 0 });
    const other = Object.keys(change).length === 0 ? textOf(mission, 2) : textOf(mission, 1, change);
    const [a, b] = stations(2, text, mission, 11, random);
    const foreign = copyOf(other, mission, { ebN0Db: 11, random, station: 'Q3LARK' });
    const result = combine([a, b, foreign], [mission]);
    expect(result?.frame.text).toBe(text);
    expect(result?.copies.map(({ belonging }) => belonging)).toEqual(['belongs', 'belongs', 'other-transmission']);
    expect(result?.copies[2].slots).toEqual([]);
    expect(combine([a, foreign], [mission])).toBeNull();
  });

  test('noise says nothing', () => {
    const random = new Random(32);
    const a = copyOf(textOf(CRC16, 1), CRC16, { ebN0Db: 9, random });
    const noise = { ...copyOf(textOf(CRC16, 1), CRC16, { ebN0Db: -20, random, station: 'Q2LARK' }), alone: null };
    expect(combine([a, noise], [CRC16])).toBeNull();
  });

  test('never makes a text that nobody sent, nor outvotes those that belong', () => {
    for (const mission of [CRC8, PLAIN]) {
      for (let seed = 0; seed < 16; seed++) {
        const random = new Random(seed);
        const ebN0Db = random.uniform(8, 13);
        const sent = textOf(mission, seed);
        const next = textOf(mission, seed, { f0: random.integer(9000), f4: random.integer(9000) });
        const copies = [
          ...stations(2, sent, mission, ebN0Db, random),
          copyOf(next, mission, { ebN0Db: ebN0Db + random.uniform(-2, 2), random, station: 'Q3LARK' }),
        ];
        const result = combine(copies, [mission]);
        if (!result || result.frame.trust === 'doubtful') continue;
        expect([sent, next]).toContain(result.frame.text);
        for (const [i, { belonging }] of result.copies.entries()) {
          if (belonging === 'belongs') expect(result.frame.text).toBe(i < 2 ? sent : next);
        }
      }
    }
  });
});

test('what was read with more than the soft elements stands against a weaker sum', () => {
  const random = new Random(51);
  const text = textOf(CRC16, 3);
  const [a, b] = stations(2, text, CRC16, 5, random, true);
  const { alone } = copyOf(text, CRC16, { ebN0Db: 30, random });
  if (!alone) throw new Error('nothing read');
  // A shift goes before the first character.
  const offset = a.fromSlot + 1 - alone.frame.characters[0].slot;
  const characters = alone.frame.characters.map((each) => ({ ...each, slot: each.slot + offset }));
  const deep: FrameCopy = { ...a, alone: { ...alone, frame: { ...alone.frame, characters } } };
  expect(combine([a, b], [CRC16])?.frame.trust).toBe('doubtful');
  expect(combine([deep, b], [CRC16])?.frame).toMatchObject({ text, trust: 'confirmed' });
});

test('a frame that only its neighbours named keeps its name', () => {
  const layout = [
    { text: 'Q0DUN ' },
    { field: 'x', digits: 6 },
    { text: ' ' },
    { checksum: 'crc-16/ibm-3740', hex: 4 },
  ];
  const mission = missionOf({ first: layout, second: layout }, {}, { sequence: ['first', 'second'] });
  const random = new Random(61);
  const text = renderFrame(mission, 'second', { x: 123456 });
  const unnamed = copyOf(text, mission, { ebN0Db: 12, random });
  const other = copyOf(text, mission, { ebN0Db: 12, random, station: 'Q2LARK' });
  expect(unnamed.alone?.frame.decision.notes).toContain('order-unknown');
  const { frame } = other.alone ?? {};
  if (!frame) throw new Error('nothing read');
  const named: FrameCopy = {
    ...other,
    alone: {
      mission: mission.id,
      frame: { ...frame, frame: 'second', trust: 'confirmed', decision: { ...frame.decision, notes: [] } },
    },
  };
  expect(combine([unnamed, named], [mission])?.frame).toMatchObject({ frame: 'second', trust: 'confirmed' });
});

function firstSlots(soft: SoftCharacters, count: number): SoftCharacters {
  return {
    count,
    startSeconds: soft.startSeconds.slice(0, count),
    elementLlr: soft.elementLlr.slice(0, 7 * count),
  };
}

function withoutSlot(soft: SoftCharacters, slot: number): SoftCharacters {
  const kept = Array.from({ length: soft.count }, (_, i) => i).filter((i) => i !== slot);
  return {
    count: kept.length,
    startSeconds: Float64Array.from(kept, (i) => soft.startSeconds[i]),
    elementLlr: Float32Array.from(kept.flatMap((i) => [...soft.elementLlr.subarray(7 * i, 7 * i + 7)])),
  };
}
