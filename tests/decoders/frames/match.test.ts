import { describe, expect, test } from 'vitest';
import { matchFrames } from '../../../decoders/frames/match.ts';
import { renderFrame } from '../../../decoders/frames/render.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import { encode } from '../../../decoders/teletype/alphabets.ts';
import type { SoftCharacters } from '../../../decoders/teletype/types.ts';
import { digitFrame, missionOf } from '../support/missions.ts';
import { certain, heard, sliceSlots } from '../support/soft.ts';

const CRC16 = missionOf({ a: digitFrame('crc-16/ibm-3740') });
const PLAIN = missionOf({ a: digitFrame(null) });
const LABELS = missionOf({
  power: [
    { text: 'Q0DUN P ' },
    { field: 'volts', digits: [1, 4] },
    { text: ' ' },
    { field: 'amps', digits: 3, sign: 'minus' },
    { text: ' ' },
    { field: 'mode', oneOf: ['SAFE', 'NOM'] },
    { text: ' ' },
    { checksum: 'crc-8/smbus', hex: 2 },
  ],
  hex: [{ text: 'Q0DUN H ' }, { field: 'word', hex: 8 }, { text: ' ' }, { again: 'word' }],
});

function values(seed: number): Record<string, number> {
  const random = new Random(seed);
  return Object.fromEntries(Array.from({ length: 9 }, (_, i) => [`f${i}`, random.integer(10_000)]));
}

const codesOf = (text: string) => encode(text, 'ita2', { startShift: 'unknown' });

describe('whole frames', () => {
  test('a certain frame is confirmed by its checksum, field by field', () => {
    const text = renderFrame(CRC16, 'a', values(1));
    const [{ frame }] = matchFrames(certain(codesOf(text)), [CRC16]);
    expect(frame).toMatchObject({ text, trust: 'confirmed', checksum: 'pass', complete: true });
    expect(frame.fields.f3.raw).toBe(values(1).f3);
    expect(frame.decision.repaired).toBe(false);
  });

  test('without a checksum it is probable at best', () => {
    const [{ frame }] = matchFrames(certain(codesOf(renderFrame(PLAIN, 'a', values(2)))), [PLAIN]);
    expect(frame).toMatchObject({ trust: 'probable', checksum: 'none', complete: true });
  });

  test('several frames in one burst, text between them, in the order sent', () => {
    const first = renderFrame(CRC16, 'a', values(3));
    const second = renderFrame(CRC16, 'a', values(4));
    const codes = codesOf(`RYRYRY ${first}\r\nHELLO ${second} RYRY`);
    expect(matchFrames(certain(codes), [CRC16]).map(({ frame }) => frame.text)).toEqual([first, second]);
  });

  test('extra shifts, blanks and line ends between characters do no harm', () => {
    const text = renderFrame(CRC16, 'a', values(5));
    const codes = codesOf(text).flatMap((code, i) =>
      i % 9 === 4 ? [code, 0] : i % 11 === 7 && code !== 27 ? [code] : [code],
    );
    const withLineEnd = codes.map((code, i) => (code === 4 && i > 20 && i < 30 ? 2 : code));
    const [{ frame }] = matchFrames(certain([31, 31, ...withLineEnd, 31, 31]), [CRC16]);
    expect(frame).toMatchObject({ text, trust: 'confirmed' });
  });

  test('a sender that counts on spaces unshifting is understood', () => {
    const text = renderFrame(LABELS, 'power', { volts: 79, amps: -13, mode: 'NOM' });
    for (const unshiftOnSpace of [true, false]) {
      const codes = encode(text, 'ita2', { startShift: 'unknown', unshiftOnSpace });
      expect(matchFrames(certain(codes), [LABELS])[0].frame).toMatchObject({ text, trust: 'confirmed' });
    }
  });

  test('widths and signs come out right, a repeated field agrees with itself', () => {
    const text = renderFrame(LABELS, 'hex', { word: 0xdeadbeef });
    const [{ frame }] = matchFrames(certain(codesOf(text)), [LABELS]);
    expect(frame.fields.word).toMatchObject({ raw: 0xdeadbeef, text: 'DEADBEEF' });
    expect(frame.text).toBe(text);
  });
});

describe('what must not be believed', () => {
  test('a certain text with a checksum that contradicts it', () => {
    const text = renderFrame(CRC16, 'a', values(6));
    const wrong = `${text.slice(0, -1)}${text.endsWith('0') ? '1' : '0'}`;
    const [{ frame }] = matchFrames(certain(codesOf(wrong)), [CRC16]);
    expect(frame).toMatchObject({ text: wrong, trust: 'doubtful', checksum: 'fail' });
    for (const field of Object.values(frame.fields)) expect(field.confidence).toBeLessThanOrEqual(0.99);
  });

  test.each([8, 10, 14, 20])('a sister satellite with one letter of another call sign, %d dB', (db) => {
    for (const mission of [CRC16, PLAIN]) {
      const sister = missionOf(
        {
          a: JSON.parse(
            JSON.stringify(digitFrame(mission === CRC16 ? 'crc-16/ibm-3740' : null)).replace('Q0DUN', 'Q0DUM'),
          ),
        },
        {},
        { callSign: 'Q0DUM' },
      );
      for (let seed = 0; seed < 12; seed++) {
        const text = renderFrame(sister, 'a', values(seed));
        const found = matchFrames(heard(codesOf(text), db, new Random(seed)), [mission]);
        for (const { frame } of found) expect(frame.trust).toBe('doubtful');
      }
    }
  });

  test('a name that nothing holds, where a letter speaks for another', () => {
    const text = renderFrame(PLAIN, 'a', values(3));
    const soft = certain(codesOf(text));
    expect(matchFrames(soft, [PLAIN])[0].frame.trust).toBe('probable');
    const elementLlr = soft.elementLlr.slice();
    // One data element of a literal, 15 times as likely the other way.
    const at = (matchFrames(soft, [PLAIN])[0].fromSlot + 6) * 7 + 1;
    elementLlr[at] = -Math.sign(elementLlr[at]) * Math.log(15);
    expect(matchFrames({ ...soft, elementLlr }, [PLAIN])[0].frame.trust).toBe('doubtful');
  });

  test.each([4, 8, 12])('noise and foreign text, %d dB', (db) => {
    for (let seed = 0; seed < 8; seed++) {
      const random = new Random(seed);
      const foreign = Array.from({ length: 80 }, () => random.integer(32));
      for (const soft of [heard(foreign, db, random), heard(foreign, -30, random)]) {
        for (const { frame } of matchFrames(soft, [CRC16, PLAIN, LABELS])) expect(frame.trust).toBe('doubtful');
      }
    }
  });
});

describe('near the limit', () => {
  test('half of the frames with a CRC-16 are accepted at 8.5 dB, none wrongly', () => {
    const random = new Random(77);
    let accepted = 0;
    const frames = 40;
    for (let i = 0; i < frames; i++) {
      const text = renderFrame(CRC16, 'a', values(500 + i));
      for (const { frame } of matchFrames(heard(codesOf(text), 8.5, random), [CRC16])) {
        if (frame.trust !== 'confirmed') continue;
        expect(frame.text).toBe(text);
        accepted++;
      }
    }
    expect(accepted).toBeGreaterThan(frames / 2);
  });

  test('a confidence is a probability: of the fields at 0.9, nine in ten are right', () => {
    const random = new Random(5);
    const bins = new Map<number, { stated: number; right: number; count: number }>();
    for (let i = 0; i < 150; i++) {
      const sent = values(i);
      const found = matchFrames(heard(codesOf(renderFrame(PLAIN, 'a', sent)), 5.5 + (i % 5), random), [PLAIN]);
      for (const [id, field] of Object.entries(found[0]?.frame.fields ?? {})) {
        const bin = Math.min(4, Math.floor(field.confidence * 5));
        const sum = bins.get(bin) ?? { stated: 0, right: 0, count: 0 };
        sum.stated += field.confidence;
        sum.right += field.raw === sent[id] ? 1 : 0;
        sum.count++;
        bins.set(bin, sum);
      }
    }
    for (const { stated, right, count } of bins.values()) {
      const mean = stated / count;
      const spread = Math.sqrt((mean * (1 - mean)) / count);
      expect(Math.abs(right / count - mean)).toBeLessThan(0.03 + 3 * spread);
    }
  });
});

describe('frames that only their order tells apart', () => {
  const same = [{ text: 'Q0DUN ' }, { field: 'x', digits: 4 }, { text: ' ' }, { checksum: 'crc-16/ibm-3740', hex: 4 }];
  const other = [
    { text: 'Q0DUN END ' },
    { field: 'x', digits: 4 },
    { text: ' ' },
    { checksum: 'crc-16/ibm-3740', hex: 4 },
  ];
  const mission = missionOf({ first: same, second: same, last: other }, {}, { sequence: ['first', 'second', 'last'] });
  const sent = (ids: readonly string[]) =>
    certain(codesOf(ids.map((id, i) => renderFrame(mission, id, { x: 10 + i })).join(' ')));

  test('are named by a neighbour that can be told', () => {
    const found = matchFrames(sent(['second', 'last', 'first']), [mission]);
    expect(found.map(({ frame }) => frame.frame)).toEqual(['second', 'last', 'first']);
    for (const { frame } of found) expect(frame.trust).toBe('confirmed');
  });

  test('alone are read, but nothing says which they are', () => {
    const [{ frame }] = matchFrames(sent(['second']), [mission]);
    expect(frame.trust).toBe('doubtful');
    expect(frame.fields.x.raw).toBe(10);
    expect(frame.decision.notes).toContain('order-unknown');
  });
});

test('a check digit that proves little takes no trust from a text that is sure without it', () => {
  for (const [checksum, digits] of [
    ['sum-10', 1],
    ['sum-100', 2],
  ] as const) {
    const layout = [{ text: 'Q0DUN ' }, { field: 'x', digits: 6 }, { text: ' ' }, { checksum, digits }];
    const checked = missionOf({ a: layout });
    const text = renderFrame(checked, 'a', { x: 123_456 });
    const [{ frame }] = matchFrames(certain(codesOf(text)), [checked]);
    expect(frame).toMatchObject({ text, trust: 'confirmed', checksum: 'pass' });
  }
});

describe('slots without a character', () => {
  const WIDTHS = missionOf({
    a: [
      { text: 'Q0DUN V' },
      { field: 'volts', digits: [1, 5] },
      { text: ' I' },
      { field: 'amps', digits: [1, 5] },
      { text: ' K' },
    ],
    b: [
      { text: 'Q0DUN P' },
      { field: 'volts', digits: [1, 5] },
      { text: ' I' },
      { field: 'amps', digits: [1, 5] },
      { text: ' T' },
      { field: 'deg', digits: [1, 5] },
      { text: ' ' },
      { checksum: 'crc-8/smbus', hex: 2 },
    ],
  });

  test.each(['a', 'b'])('every digit that is clear is one: frame %s is trusted whatever it says', (id) => {
    const random = new Random(31);
    for (let i = 0; i < 60; i++) {
      const [volts, amps, deg] = [0, 1, 2].map(() => Math.floor(10 ** random.uniform(0, 5)));
      const text = renderFrame(WIDTHS, id, { volts, amps, deg });
      const [{ frame }] = matchFrames(certain(codesOf(text)), [WIDTHS]);
      expect(frame).toMatchObject({ text, trust: id === 'b' ? 'confirmed' : 'probable' });
    }
  });

  test('a pause in which the timing put slots leaves the number that it interrupts as it was', () => {
    const text = renderFrame(WIDTHS, 'a', { volts: 48_213, amps: 907 });
    const codes = codesOf(text);
    for (let at = 8; at < codes.length - 2; at++) {
      for (const slots of [1, 4]) {
        const pause = new Array<number>(slots).fill(31);
        const soft = certain([...codes.slice(0, at), ...pause, ...codes.slice(at)]);
        // Nothing is keyed in a pause: its start elements are mark as all others.
        for (let slot = at; slot < at + slots; slot++) soft.elementLlr[slot * 7] = 14;
        const [{ frame }] = matchFrames(soft, [WIDTHS]);
        expect(frame).toMatchObject({ text, trust: 'probable' });
      }
    }
  });

  test('where a pause leaves time for a digit that was passed over, only a checksum or a clear burst tells that there was none', () => {
    const checked = missionOf({
      a: [
        { text: 'Q0DUN V' },
        { field: 'volts', digits: [1, 5] },
        { text: ' I' },
        { field: 'amps', digits: [1, 5] },
        { text: ' ' },
        { checksum: 'crc-16/ibm-3740', hex: 4 },
      ],
    });
    /** A pause of a second before a slot, elements standing out by so many nats. */
    const paused = (mission: typeof checked, at: number, nats: number) => {
      const { count, startSeconds, elementLlr } = certain(
        codesOf(renderFrame(mission, 'a', { volts: 48_13, amps: 907 })),
      );
      const soft = {
        count,
        startSeconds: startSeconds.map((start, slot) => (slot < at ? start : start + 1)),
        elementLlr: elementLlr.map((llr) => (nats / 14) * llr),
      };
      return matchFrames(soft, [mission])[0].frame;
    };
    const inVolts = 12;
    expect(paused(checked, inVolts, 14).trust).toBe('confirmed');
    expect(paused(WIDTHS, inVolts, 28).trust).toBe('probable');
    const { trust, fields } = paused(WIDTHS, inVolts, 14);
    expect(trust).toBe('doubtful');
    expect(fields.volts.confidence).toBeLessThan(0.999);
    expect(fields.amps.confidence).toBeGreaterThan(0.999);
    // Between the letters of a word nothing can have been lost.
    expect(paused(WIDTHS, 4, 14).trust).toBe('probable');
  });

  test('a click on the start element of a clear digit does not take it away', () => {
    const text = renderFrame(WIDTHS, 'a', { volts: 48_213, amps: 907 });
    const codes = codesOf(text);
    for (let at = 8; at < codes.length; at++) {
      const soft = certain(codes);
      soft.elementLlr[at * 7] = 40;
      expect(matchFrames(soft, [WIDTHS])[0].frame.text).toBe(text);
    }
  });
});

describe('a frame that ends with a number of varying width', () => {
  const mission = missionOf({
    a: [
      { text: 'Q0DUN V' },
      { field: 'v', digits: [1, 5] },
      { text: ' T' },
      { field: 't', digits: [1, 3], sign: 'minus' },
    ],
  });
  const text = renderFrame(mission, 'a', { v: 3341, t: -51 });

  test.each(['\r\n', ' ', ' K', '\r\n\nQ0DUN'])('is trusted when %j follows', (after) => {
    const [{ frame }] = matchFrames(certain(codesOf(text + after)), [mission]);
    expect(frame).toMatchObject({ text, trust: 'probable' });
    expect(frame.fields.t.confidence).toBeGreaterThan(0.999);
  });

  test('may have had more digits where the burst ends with it', () => {
    for (const cut of ['Q0DUN V3341 T-5', 'Q0DUN V3341 T-51']) {
      const [{ frame }] = matchFrames(certain(codesOf(cut)), [mission]);
      expect(frame.trust).toBe('doubtful');
      expect(frame.fields.t.confidence).toBeLessThan(0.999);
      expect(frame.fields.v).toMatchObject({ raw: 3341 });
      expect(frame.fields.v.confidence).toBeGreaterThan(0.999);
    }
  });

  test('has all its digits, also behind a pause', () => {
    const codes = codesOf(`${text}\r\n`);
    const at = codes.length - 3;
    const soft = certain([...codes.slice(0, at), 31, ...codes.slice(at)]);
    soft.elementLlr[at * 7] = 14;
    const [{ frame }] = matchFrames(soft, [mission]);
    for (const { raw, confidence } of [frame.fields.t]) expect(raw === -51 || confidence < 0.999).toBe(true);
  });
});

describe('cut frames', () => {
  const text = renderFrame(CRC16, 'a', values(9));
  const soft = certain(codesOf(text));

  test('the beginning lost: the fields that were heard whole', () => {
    const [{ frame }] = matchFrames(sliceSlots(soft, 22, soft.count), [CRC16]);
    expect(frame.complete).toBe(false);
    expect(frame.checksum).toBe('none');
    expect(frame.fields.f0).toBeUndefined();
    expect(frame.fields.f8.raw).toBe(values(9).f8);
  });

  test('the beginning lost, where order alone tells fields apart: the end may be lost, too', () => {
    const codes = certain(codesOf(renderFrame(PLAIN, 'a', values(9))));
    const [{ frame }] = matchFrames(sliceSlots(codes, 22, codes.count), [PLAIN]);
    expect(frame.fields.f8.raw).toBe(values(9).f8);
    expect(frame.fields.f8.confidence).toBeLessThan(0.999);
    expect(frame.fields.f8.confidence).toBeGreaterThan(0.9);
    expect(frame.trust).toBe('doubtful');
  });

  test('the beginning lost, where labels tell fields apart: nothing changes', () => {
    const labels = ['A', 'B', 'C', 'D', 'E', 'F', 'G', 'H', 'I'];
    const labelled = missionOf({
      a: labels.flatMap((label, i) => [{ text: ` ${label}` }, { field: `f${i}`, digits: 4 }]),
    });
    const codes = certain(codesOf(renderFrame(labelled, 'a', values(9))));
    const [{ frame }] = matchFrames(sliceSlots(codes, 24, codes.count), [labelled]);
    expect(frame.fields.f8.raw).toBe(values(9).f8);
    expect(frame.fields.f8.confidence).toBeGreaterThan(0.999);
  });

  test('the end lost', () => {
    const [{ frame }] = matchFrames(sliceSlots(soft, 0, 30), [CRC16]);
    expect(frame.complete).toBe(false);
    expect(frame.fields.f1.raw).toBe(values(9).f1);
    expect(frame.fields.f8).toBeUndefined();
    expect(frame.trust).not.toBe('confirmed');
  });

  test('cut anywhere, before or after, no field is told but those sent', () => {
    const widths = missionOf({
      a: [
        { text: 'Q0DUN V' },
        { field: 'volts', digits: [1, 5] },
        { text: ' I' },
        { field: 'amps', digits: [1, 4], sign: 'minus' },
        { text: ' ' },
        { field: 'mode', oneOf: ['SAFE', 'SAFER', 'NOM'] },
        { text: ' T' },
        { field: 'deg', digits: [1, 3] },
        { text: ' K' },
      ],
    });
    const sent: Record<string, number | string> = { volts: 48_213, amps: -1_907, mode: 'SAFER', deg: 127 };
    const codes = certain(codesOf(renderFrame(widths, 'a', sent)));
    for (let at = 6; at < codes.count - 6; at++) {
      for (const piece of [sliceSlots(codes, 0, at), sliceSlots(codes, at, codes.count)]) {
        for (const { frame } of matchFrames(piece, [widths])) {
          for (const [id, { raw }] of Object.entries(frame.fields)) expect([at, id, raw]).toEqual([at, id, sent[id]]);
        }
      }
    }
  });

  test('digits left of one field that would make another whole are told as neither', () => {
    const optional = missionOf({
      a: [
        { text: 'Q0DUN ' },
        { field: 'a', digits: 4 },
        { optional: [{ text: ' ' }, { field: 't', digits: 3 }] },
        { optional: [{ text: ' ' }, { field: 'p', digits: 5 }] },
        { text: ' K' },
      ],
    });
    const sent: Record<string, number> = { a: 5490, p: 5825 };
    const codes = certain(codesOf(renderFrame(optional, 'a', sent)));
    for (let at = 6; at < codes.count - 6; at++) {
      for (const piece of [sliceSlots(codes, 0, at), sliceSlots(codes, at, codes.count)]) {
        for (const { frame } of matchFrames(piece, [optional])) {
          for (const [id, { raw, confidence }] of Object.entries(frame.fields)) {
            if (raw !== sent[id]) expect([at, id, confidence < 0.999]).toEqual([at, id, true]);
          }
        }
      }
    }
  });

  /** The frame as it is heard when its slots `from..to-1` fell into a hole: they are not there, but the time that they took is. */
  const withHole = (whole: SoftCharacters, from: number, to: number): SoftCharacters => {
    const [before, after] = [sliceSlots(whole, 0, from), sliceSlots(whole, to, whole.count)];
    return {
      count: before.count + after.count,
      startSeconds: Float64Array.of(...before.startSeconds, ...after.startSeconds),
      elementLlr: Float32Array.of(...before.elementLlr, ...after.elementLlr),
    };
  };

  test('where clear characters would have to be passed over, no other field takes their place', () => {
    const codes = codesOf(renderFrame(PLAIN, 'a', values(9)));
    for (let at = 9; at < codes.length - 3; at++) {
      const soft = certain([...codes.slice(0, at), ...codes.slice(at + 1)]);
      for (const { frame } of matchFrames(soft, [PLAIN])) {
        for (const [id, { raw, confidence }] of Object.entries(frame.fields)) {
          if (raw !== values(9)[id]) expect([at, id, confidence < 0.999]).toEqual([at, id, true]);
        }
      }
    }
  });

  test('copies of a field that clearly differ give none', () => {
    const twice = missionOf({
      a: [{ text: 'Q0DUN B ' }, { field: 'x', digits: 4 }, { text: ' ' }, { again: 'x', complement: true }],
    });
    expect(matchFrames(certain(codesOf('Q0DUN B 5480 4519')), [twice])[0].frame.trust).toBe('probable');
    for (const text of ['Q0DUN B 5490 4519', 'Q0DUN B 5480 4529']) {
      const [{ frame }] = matchFrames(certain(codesOf(text)), [twice]);
      expect(frame.trust).toBe('doubtful');
      expect(frame.fields.x.confidence).toBeLessThan(0.999);
    }
  });

  test('a field sent three times with nothing between', () => {
    const thrice = missionOf({ a: [{ text: 'Q0DUN B ' }, { field: 'x', digits: 3 }, { again: 'x' }, { again: 'x' }] });
    const [{ frame }] = matchFrames(certain(codesOf('Q0DUN B 548548548')), [thrice]);
    expect(frame).toMatchObject({ trust: 'probable', complete: true, fields: { x: { raw: 548 } } });
    const [{ frame: torn }] = matchFrames(certain(codesOf('Q0DUN B 548548549')), [thrice]);
    expect(torn.trust).toBe('doubtful');
  });

  test('a field lost in a hole: those behind it may be others than they seem', () => {
    const codes = codesOf(renderFrame(PLAIN, 'a', values(9)));
    // The third field with its space and the shift that stands in it, if any.
    const third = codes.length - 7 * 5 + 1;
    const soft = withHole(certain(codes), third, third + 5);
    const [{ frame }] = matchFrames(soft, [PLAIN]);
    expect(frame.complete).toBe(false);
    expect(frame.fields.f0).toMatchObject({ raw: values(9).f0 });
    expect(frame.fields.f0.confidence).toBeGreaterThan(0.999);
    for (const id of ['f3', 'f4', 'f5', 'f6', 'f7']) {
      if (frame.fields[id] !== undefined) expect(frame.fields[id].confidence).toBeLessThan(0.999);
    }
  });
});
