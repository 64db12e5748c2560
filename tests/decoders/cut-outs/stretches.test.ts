import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { LONGEST_CUT_OUT_SECONDS, stretchesOf, stretchesOfBand } from '../../../decoders/cut-outs/stretches.ts';
import type { Burst } from '../../../decoders/teletype/types.ts';

function burst(startSeconds: number, endSeconds: number): Burst {
  return {
    startSeconds,
    endSeconds,
    baud: 45.45,
    markHz: 1275,
    spaceHz: 1445,
    reversed: false,
    stopElements: 1.5,
    driftHzPerSecond: 0,
    ebN0Db: 12,
    soft: { count: 0, startSeconds: new Float64Array(), elementLlr: new Float32Array() },
    text: '',
    alternativeText: null,
    characters: [],
  };
}

const cut = (bursts: readonly [number, number][], seconds = 1000) =>
  stretchesOf(
    bursts.map(([from, to]) => ({ burst: burst(from, to), channel: 0 })),
    seconds,
  ).map(({ startSeconds, endSeconds, bursts: held }) => [startSeconds, endSeconds, held.length]);

describe('the stretches of a recording that hold its bursts', () => {
  test('leave a margin, as far as the recording goes', () => {
    expect(cut([[100, 110]])).toEqual([[98, 112, 1]]);
    expect(cut([[1, 999.5]], 1000)).toEqual([[0, 1000, 1]]);
  });

  test('hold bursts together that overlap or follow each other closely', () => {
    expect(
      cut([
        [100, 110],
        [105, 120],
        [123, 130],
        [140, 150],
      ]),
    ).toEqual([
      [98, 132, 3],
      [138, 152, 1],
    ]);
  });

  test('part an unbroken series into pieces that do not overlap', () => {
    const series = Array.from({ length: 100 }, (_, i): [number, number] => [10 + 9 * i, 18 + 9 * i]);
    const pieces = cut(series);
    expect(pieces.length).toBeGreaterThan(4);
    expect(pieces.reduce((sum, [, , held]) => sum + held, 0)).toBe(100);
    for (let i = 1; i < pieces.length; i++) expect(pieces[i][0]).toBeGreaterThanOrEqual(pieces[i - 1][1]);
  });

  test('overlap where bursts do that are too long together', () => {
    expect(
      cut([
        [0, 180],
        [100, 290],
      ]),
    ).toEqual([
      [0, 180, 1],
      [100, 292, 1],
    ]);
  });

  test('keep the channels apart', () => {
    const stretches = stretchesOf(
      [
        { burst: burst(100, 110), channel: 1 },
        { burst: burst(100, 110), channel: 0 },
      ],
      200,
    );
    expect(stretches.map(({ channel }) => channel)).toEqual([0, 1]);
  });

  test('hold every burst once and whole, and are short, whatever the bursts', () => {
    const heard = fc.array(
      fc.tuple(fc.double({ min: 0, max: 900, noNaN: true }), fc.double({ min: 1, max: 190, noNaN: true })),
    );
    fc.assert(
      fc.property(heard, (spans) => {
        const bursts = spans.map(([from, length]) => burst(from, from + length));
        const stretches = stretchesOf(
          bursts.map((each) => ({ burst: each, channel: 0 })),
          1200,
        );
        expect(new Set(stretches.flatMap((each) => each.bursts))).toEqual(new Set(bursts));
        expect(stretches.flatMap((each) => each.bursts)).toHaveLength(bursts.length);
        for (const { startSeconds, endSeconds, bursts: held } of stretches) {
          expect(endSeconds - startSeconds).toBeLessThanOrEqual(LONGEST_CUT_OUT_SECONDS);
          for (const each of held) {
            expect(each.startSeconds).toBeGreaterThanOrEqual(startSeconds);
            expect(each.endSeconds).toBeLessThanOrEqual(endSeconds);
          }
        }
      }),
    );
  });
});

test('the stretches of a complex band hold a burst each, and leave half of what is between two to the other', () => {
  const bursts = [burst(1, 9), burst(40, 50), burst(5, 20), burst(51, 60), burst(90, 99)];
  expect(
    stretchesOfBand(bursts, 100).map(({ startSeconds, endSeconds, bursts: held }) => [
      startSeconds,
      endSeconds,
      held.map((one) => one.startSeconds),
    ]),
  ).toEqual([
    [0, 11, [1]],
    [3, 22, [5]],
    [38, 50.5, [40]],
    [50.5, 62, [51]],
    [88, 100, [90]],
  ]);
});
