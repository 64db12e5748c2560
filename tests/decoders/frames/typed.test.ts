import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { renderFrame } from '../../../decoders/frames/render.ts';
import { readTypedText } from '../../../decoders/frames/typed.ts';
import { missionOf } from '../support/missions.ts';

const MISSION = missionOf({
  power: [
    { text: 'Q0DUN P ' },
    { field: 'count', digits: 5 },
    { text: ' ' },
    { field: 'volts', digits: 4 },
    { text: ' ' },
    { field: 'amps', digits: 4, sign: 'minus' },
    { text: ' ' },
    { checksum: 'crc-16/ibm-3740', hex: 4 },
  ],
  note: [
    { text: 'Q0DUN N ' },
    { field: 'mode', oneOf: ['SAFE', 'NOM'] },
    { text: ' TEMP ' },
    { field: 'temp', digits: 3 },
  ],
});
const LINE = renderFrame(MISSION, 'power', { count: 42, volts: 7921, amps: -130 });

describe('as people print it', () => {
  test.each([
    ['as sent', LINE],
    ['lower case', LINE.toLowerCase()],
    ['a time and a station in front', `2027-03-01T12:31:05Z QX1ABC ${LINE}`],
    ['broken over two lines', `${LINE.slice(0, 19)}\n${LINE.slice(19)}`],
    ['spaces doubled, tabs', LINE.replaceAll(' ', '  ').replace('  ', '\t')],
    ['quoted', `> "${LINE}"`],
  ])('%s', (_, typed) => {
    const { frames, nearest } = readTypedText(MISSION, typed);
    expect(frames).toHaveLength(1);
    expect(frames[0]).toMatchObject({ text: LINE, trust: 'probable', checksum: 'pass', complete: true });
    expect(nearest).toBeNull();
  });

  test('a mark for an unknown digit or sign is not taken for nothing', () => {
    const mission = missionOf({
      a: [
        { text: 'Q0DUN V ' },
        { field: 'v', digits: [1, 4], sign: 'minus' },
        { text: ' I ' },
        { field: 'i', digits: 3 },
      ],
    });
    for (const [typed, sent] of [
      ['Q0DUN V _30 I 217', 130],
      ['Q0DUN V _305 I 217', -305],
      ['Q0DUN V 1_05 I 217', 1305],
    ] as const) {
      const [{ fields }] = readTypedText(mission, typed).frames;
      expect(fields.v.raw === sent || fields.v.confidence < 0.999).toBe(true);
      expect(fields.i).toMatchObject({ raw: 217 });
      expect(fields.i.confidence).toBeGreaterThan(0.999);
    }
  });

  test('what people put between words is read as spaces', () => {
    for (const between of [', ', ',', '; ', ' / ', '\t']) {
      const { frames, assumptions } = readTypedText(MISSION, `${LINE.trim().split(' ').join(between)}.`);
      expect(frames[0]).toMatchObject({ text: LINE, trust: 'probable' });
      expect(assumptions.join()).toMatch(/read as spaces/);
    }
  });

  test('a letter O typed for a nought is not read as the figure of its code', () => {
    for (const volts of [7021, 7101, 9012]) {
      const sent = renderFrame(MISSION, 'power', { count: 42, volts, amps: -130 });
      const typed = sent.replace(
        String(volts),
        String(volts)
          .replace(/(?<=\d)0(?=\d)/, 'O')
          .replace(/(?<=\d)1(?=\d)/, 'i'),
      );
      const { frames, assumptions } = readTypedText(MISSION, typed);
      expect(frames[0].fields.volts.raw).toBe(volts);
      expect(assumptions.join()).toMatch(/between digits/);
    }
    const { frames } = readTypedText(MISSION, 'Q0DUN N NOM TEMP 1O3');
    expect(frames[0]?.fields.temp?.confidence ?? 0).toBeLessThan(0.5);
  });

  test('a mark for one unknown character is resolved by the checksum, and said', () => {
    const { frames, assumptions } = readTypedText(MISSION, LINE.replace('7921', '79_1'));
    expect(frames[0]).toMatchObject({ text: LINE, trust: 'probable' });
    expect(assumptions.join()).toMatch(/unknown/);
  });

  test('a lost shift prints figures as letters', () => {
    const { frames, assumptions } = readTypedText(MISSION, LINE.replace('7921', 'UOWQ'));
    expect(frames[0].text).toBe(LINE);
    expect(assumptions.join()).toMatch(/differ/);
  });

  test('several lines give several frames', () => {
    expect(readTypedText(MISSION, `${LINE}\n\nQ0DUN N NOM TEMP 021\n`).frames.map(({ frame }) => frame)).toEqual([
      'power',
      'note',
    ]);
  });
});

describe('what is not believed', () => {
  test('a wrong digit: the checksum fails and nothing is trusted', () => {
    const { frames } = readTypedText(MISSION, LINE.replace('7921', '7922'));
    expect(frames[0]).toMatchObject({ checksum: 'fail', trust: 'doubtful' });
  });

  test('typed text is never confirmed', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 99_999 }), fc.integer({ min: -9999, max: 9999 }), (count, amps) => {
        const line = renderFrame(MISSION, 'power', { count, volts: 7000, amps });
        const { frames } = readTypedText(MISSION, line);
        expect(frames[0]).toMatchObject({ text: line, trust: 'probable' });
      }),
      { numRuns: 40 },
    );
  });

  test('text that fits nothing names the nearest layout and the place', () => {
    const { frames, nearest } = readTypedText(MISSION, 'hello Q0DUN N XYZ');
    expect(frames).toHaveLength(0);
    expect(nearest).toEqual({ frame: 'note', at: 14, expected: 'SN' });
  });

  test.each(['', '   ', '<script>alert(1)</script>', '\u0000\u0001', 'Ω'.repeat(50)])('%j', (text) => {
    expect(readTypedText(MISSION, text).frames).toHaveLength(0);
  });

  test('any text at all is read without an exception', () => {
    const anything = fc.oneof(fc.string({ unit: 'binary', maxLength: 200 }), fc.string({ maxLength: 200 }));
    fc.assert(
      fc.property(anything, fc.integer({ min: 0, max: 30 }), (noise, at) => {
        const { frames } = readTypedText(MISSION, LINE.slice(0, at) + noise + LINE.slice(at));
        for (const { trust } of frames) expect(trust).not.toBe('confirmed');
      }),
      { numRuns: 60 },
    );
  });
});
