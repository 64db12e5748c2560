import { describe, expect, test } from 'vitest';
import { matchFrames } from '../../../decoders/frames/match.ts';
import { renderFrame } from '../../../decoders/frames/render.ts';
import type { DecodedFrame } from '../../../decoders/frames/types.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import { encode } from '../../../decoders/teletype/alphabets.ts';
import { missionOf } from '../support/missions.ts';
import { heard } from '../support/soft.ts';

const SPACE = { text: ' ' };
const FIELDS = Array.from({ length: 8 }, (_, i) => [{ field: `f${i}`, digits: 4 }, SPACE]).flat();

function valuesOf(random: Random): Record<string, number> {
  return Object.fromEntries(Array.from({ length: 8 }, (_, i) => [`f${i}`, random.integer(10_000)]));
}

/** Frames of a layout as an ideal receiver hears them, with what was sent. */
function* trials(layout: readonly unknown[], count: number, ebN0Db: number): Generator<[DecodedFrame, string]> {
  const mission = missionOf({ a: layout });
  for (let seed = 0; seed < count; seed++) {
    const random = new Random(seed);
    const sent = renderFrame(mission, 'a', valuesOf(random));
    const soft = heard(encode(sent, 'ita2', { startShift: 'unknown' }), ebN0Db, random);
    for (const { frame } of matchFrames(soft, [mission])) yield [frame, sent];
  }
}

describe('a repeated field bears out itself and no other', () => {
  const layout = [{ text: 'Q0DUN A ' }, ...FIELDS, { again: 'f0' }];

  test('frames with one are accepted where frames without would be, and none wrongly', () => {
    let accepted = 0;
    for (const [frame, sent] of trials(layout, 40, 9)) {
      if (frame.trust === 'doubtful') continue;
      accepted++;
      expect(frame.text).toBe(sent);
    }
    for (const [frame, sent] of trials(layout, 6, 14)) {
      expect(frame.text).toBe(sent);
      if (frame.trust === 'probable') accepted++;
    }
    expect(accepted).toBeGreaterThanOrEqual(6);
  });

  test('other fields are as sure as without it', () => {
    const meanConfidence = (parts: readonly unknown[]) => {
      let sum = 0;
      let count = 0;
      for (const [{ complete, fields }] of trials(parts, 40, 8.5)) {
        if (!complete) continue;
        for (let i = 1; i < 8; i++) sum += fields[`f${i}`].confidence;
        count += 7;
      }
      return sum / count;
    };
    expect(meanConfidence(layout)).toBeCloseTo(meanConfidence(layout.slice(0, -1)), 2);
  });

  test('a frame that is read with the help of its copies is marked as repaired', () => {
    const twice = FIELDS.slice(0, 8).flatMap((part): unknown[] =>
      'field' in part ? [part, { again: part.field }] : [part],
    );
    const frames = [...trials([{ text: 'Q0DUN A ' }, ...twice], 12, 8)].filter(([frame, sent]) => frame.text === sent);
    const repaired = frames.filter(([{ decision }]) => decision.repaired);
    expect(repaired.length).toBeGreaterThan(0);
    expect(repaired.length).toBeLessThan(frames.length);
  });
});
