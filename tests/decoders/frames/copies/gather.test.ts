import { describe, expect, test } from 'vitest';
import { layoutsAt } from '../../../../decoders/frames/compiled-mission.ts';
import { gatherCopies } from '../../../../decoders/frames/copies/gather.ts';
import { renderFrame } from '../../../../decoders/frames/render.ts';
import { Random } from '../../../../decoders/simulate/random.ts';
import { copyOf } from '../../support/copies.ts';
import { digitFrame, missionOf } from '../../support/missions.ts';

const MISSION = missionOf({ a: digitFrame('crc-8/smbus', 2) });
const LAYOUTS = layoutsAt([MISSION], null);

function copy(seed: number, ebN0Db: number, random: Random) {
  const values = Object.fromEntries(Array.from({ length: 9 }, (_, i) => [`f${i}`, (seed * (i + 3) * 1009) % 10_000]));
  return copyOf(renderFrame(MISSION, 'a', values), MISSION, { ebN0Db, random, unread: true });
}

const belonging = (...copies: ReturnType<typeof copy>[]) => gatherCopies(copies, LAYOUTS).map((each) => each.belonging);

describe('gatherCopies', () => {
  test.each([3, 5, 8, 12])('gathers what is of one transmission, and nothing of another, %d dB', (ebN0Db) => {
    for (let seed = 1; seed <= 5; seed++) {
      const random = new Random(seed);
      const [own, again, other] = [
        copy(seed, ebN0Db, random),
        copy(seed, ebN0Db, random),
        copy(seed + 9, ebN0Db, random),
      ];
      expect(belonging(own, again)).toEqual(['belongs', 'belongs']);
      expect(belonging(own, other)[1]).not.toBe('belongs');
    }
  });

  test('leaves out what tells nothing', () => {
    const random = new Random(7);
    expect(belonging(copy(1, 8, random), copy(1, -25, random))).toEqual(['belongs', 'too-weak']);
  });

  test('lays each copy on the first one’s times', () => {
    const random = new Random(8);
    const [first, second] = [copy(2, 9, random), copy(2, 9, random)];
    const [, { shiftSeconds }] = gatherCopies([first, second], LAYOUTS);
    const apart = first.soft.startSeconds[first.fromSlot] - second.soft.startSeconds[second.fromSlot];
    expect(shiftSeconds).toBeCloseTo(apart, 2);
  });
});
