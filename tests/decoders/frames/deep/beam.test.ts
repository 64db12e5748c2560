import { describe, expect, test } from 'vitest';
import { compileMission } from '../../../../decoders/frames/compiled-mission.ts';
import { type BeamResult, beam } from '../../../../decoders/frames/deep/beam.ts';
import { hypothesisOf } from '../../../../decoders/frames/deep/signal-hypothesis.ts';
import { renderFrame } from '../../../../decoders/frames/render.ts';
import { logAdd } from '../../../../decoders/frames/total-mass.ts';
import { missionOf } from '../../support/missions.ts';
import { heard, surfaceOf } from './heard.ts';

const HEAD = [{ text: 'Q0DUN ' }, { field: 'a', digits: 1 }, { text: ' ' }];
const HEX = (field: string) => ({ field, hex: 2 });
const SUM = { checksum: 'xor-8', hex: 2 };
const MODEL = { slip: 0.015, diffusion: 0.09 };
const VALUES = { a: 7, b: 3, n: 1 };

/** Readings of a text's burst, begun behind the shift that it begins with, under a layout. */
function readingsOf(
  text: string,
  parts: readonly unknown[],
  receptions: readonly (readonly [seed: number, ebN0Db: number])[],
): BeamResult {
  const [layout] = compileMission(missionOf({ a: parts }));
  const trellises = receptions.map(([seed, ebN0Db]) => {
    const signal = heard(text, 'continuous', seed, ebN0Db);
    return surfaceOf(signal, layout).surface.trellis(hypothesisOf(signal, 1), MODEL);
  });
  return beam(layout, trellises);
}

const sumOf = (weights: readonly number[]) => weights.reduce(logAdd, Number.NEGATIVE_INFINITY);

describe('derived parts with text behind them', () => {
  const checked = [...HEAD, SUM, { text: ' K' }];
  const text = renderFrame(missionOf({ a: checked }), 'a', VALUES);

  test('the shares of all readings make up the whole, whatever stands in the derived parts and behind them', () => {
    for (const parts of [checked, [...HEAD, SUM, { text: ' ' }, { again: 'a' }, { optional: [{ text: ' K' }] }]]) {
      const { free, candidates } = readingsOf(text, parts, [[1, 2]]);
      expect(candidates.length).toBeGreaterThan(5);
      expect(sumOf(candidates.map(({ candidate }) => candidate.logWeight))).toBeCloseTo(free, 6);
    }
  });

  test.each([
    ['text', [SUM, { text: ' K' }], [HEX('sum'), { text: ' K' }], 256],
    [
      'text that may be missing',
      [SUM, { optional: [{ text: ' K' }] }],
      [HEX('sum'), { optional: [{ text: ' K' }] }],
      256,
    ],
    [
      'a copy',
      [SUM, { text: ' ' }, { again: 'a' }, { text: ' K' }],
      [HEX('sum'), { text: ' ' }, { field: 'b', digits: 1 }, { text: ' K' }],
      2560,
    ],
  ])(
    '%s behind a checksum: a reading weighs what it weighs with a field there, but for the chances of that field',
    (_, derived, open, texts) => {
      const sent = renderFrame(missionOf({ a: [...HEAD, ...derived] }), 'a', VALUES);
      for (const receptions of [
        [[1, 9]],
        [
          [2, 9],
          [3, 9],
        ],
      ] as const) {
        const keyed = readingsOf(sent, [...HEAD, ...derived], receptions).candidates;
        const free = readingsOf(sent, [...HEAD, ...open], receptions).candidates;
        const whole = keyed.filter(({ characters }) => characters.map(({ character }) => character).join('') === sent);
        // With and without a last K: two texts of one reading.
        const same = free.filter(
          ({ content }) => content === sent || `${content} K` === sent || content === `${sent} K`,
        );
        expect(whole.length).toBeGreaterThan(0);
        const consistent = sumOf(whole.map(({ logConsistent }) => logConsistent));
        expect(consistent).toBeCloseTo(sumOf(same.map(({ candidate }) => candidate.logWeight)) + Math.log(texts), 4);
      }
    },
  );
});

describe('derived parts behind which fields stand', () => {
  const B = { field: 'b', digits: 1 };
  const SPACE = { text: ' ' };
  const COPY = { again: 'a' };

  test.each([
    ['a field behind a checksum', [SUM, SPACE, B]],
    ['fields and their copies in turn, a checksum at the end', [COPY, SPACE, B, { again: 'b' }, SPACE, SUM]],
    ['a checksum that may be missing', [B, { optional: [SPACE, SUM] }]],
    ['a checksum or a field', [{ either: [[SUM], [B]] }]],
    ['a copy of varying width at once before a field', [{ field: 'n', digits: [1, 2] }, SPACE, { again: 'n' }, B]],
  ])('%s: the shares of all readings make up the whole', (_, parts) => {
    const sent = renderFrame(missionOf({ a: [...HEAD, ...parts] }), 'a', VALUES);
    const { free, candidates } = readingsOf(sent, [...HEAD, ...parts], [[1, 2]]);
    expect(candidates.length).toBeGreaterThan(5);
    expect(sumOf(candidates.map(({ candidate }) => candidate.logWeight))).toBeCloseTo(free, 6);
  });

  test.each([
    ['a checksum', [SUM, SPACE, B], [HEX('sum'), SPACE, B], 256],
    ['a copy', [COPY, SPACE, B], [{ field: 'c', digits: 1 }, SPACE, B], 10],
    ['a copy, and a checksum behind', [COPY, SPACE, B, SUM], [{ field: 'c', digits: 1 }, SPACE, B, HEX('sum')], 2560],
  ])(
    'a field behind %s: a reading weighs what it weighs with a field there, but for the chances of that field',
    (_, derived, open, texts) => {
      const sent = renderFrame(missionOf({ a: [...HEAD, ...derived] }), 'a', VALUES);
      const keyed = readingsOf(sent, [...HEAD, ...derived], [[3, 9]]).candidates;
      const free = readingsOf(sent, [...HEAD, ...open], [[3, 9]]).candidates;
      const whole = keyed.filter(({ characters }) => characters.map(({ character }) => character).join('') === sent);
      const same = free.filter(({ content }) => content === sent);
      expect(whole.length).toBeGreaterThan(0);
      const consistent = sumOf(whole.map(({ logConsistent }) => logConsistent));
      expect(consistent).toBeCloseTo(sumOf(same.map(({ candidate }) => candidate.logWeight)) + Math.log(texts), 4);
    },
  );
});
