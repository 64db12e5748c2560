import { describe, expect, test } from 'vitest';
import { PROBABLE_POSTERIOR } from '../../../../decoders/frames/accept.ts';
import { compileMission } from '../../../../decoders/frames/compiled-mission.ts';
import { readDeep } from '../../../../decoders/frames/deep/read-deep.ts';
import { matchFrames } from '../../../../decoders/frames/match.ts';
import { renderFrame } from '../../../../decoders/frames/render.ts';
import type { DecodedFrame } from '../../../../decoders/frames/types.ts';
import { digitFrame, missionOf } from '../../support/missions.ts';
import { heard, VALUES } from './heard.ts';

const MISSION = missionOf({ a: digitFrame(null) });
const [LAYOUT] = compileMission(MISSION);
const CHECKED = missionOf({ a: digitFrame('crc-16/ibm-3740') });
const TEXT = renderFrame(MISSION, 'a', VALUES);
const SEEDS = [1, 2, 3, 4];
const ONES = new Float64Array(200).fill(1);

function readThroughPhase(text: string, seed: number, ebN0Db: number): DecodedFrame {
  const signal = heard(text, 'continuous', seed, ebN0Db);
  const fromSlot = matchFrames(signal.soft, [MISSION])[0]?.fromSlot ?? 0;
  const frame = readDeep({ layout: LAYOUT, rivals: [LAYOUT], signal, fromSlot })?.frame;
  if (!frame) throw new Error('no frame');
  return frame;
}

describe('readDeep', () => {
  test('without a checksum most fields at 6 dB stand by themselves: their characters are told through the phase, too', () => {
    const fields = SEEDS.flatMap((seed) => Object.values(readThroughPhase(TEXT, seed, 6).fields));
    const sure = fields.filter(({ confidence }) => confidence >= PROBABLE_POSTERIOR);
    expect(fields).toHaveLength(9 * SEEDS.length);
    expect(sure.length).toBeGreaterThan(0.6 * fields.length);
    const values = Object.values(VALUES).map((value) => String(value).padStart(4, '0'));
    for (const { text } of sure) expect(values).toContain(text);
  });

  test('where levels fade, which it takes as steady, a checksum must bear the reading out', () => {
    const steadyTrack = { ratios: Float64Array.of(1), mark: ONES, space: ONES, noisePower: 1 };
    for (const [mission, isRead] of [
      [CHECKED, true],
      [MISSION, false],
    ] as const) {
      const [layout] = compileMission(mission);
      const signal = heard(renderFrame(mission, 'a', VALUES), 'continuous', 1, 8);
      const fromSlot = matchFrames(signal.soft, [mission])[0]?.fromSlot ?? 0;
      const deep = readDeep({ layout, rivals: [layout], signal: { ...signal, levels: steadyTrack }, fromSlot });
      expect(deep?.frame?.trust).toBe(isRead ? 'confirmed' : undefined);
      expect(deep?.soft).toBe(signal.soft);
    }
  });

  test('a sister satellite is never believed, whatever her level: her letter is heard through the phase', () => {
    for (const ebN0Db of [6, 9]) {
      for (const seed of SEEDS) {
        const { trust, fields } = readThroughPhase(TEXT.replace('Q0DUN', 'Q0DUM'), seed, ebN0Db);
        expect(trust).toBe('doubtful');
        for (const { confidence } of Object.values(fields)) expect(confidence).toBeLessThan(PROBABLE_POSTERIOR);
      }
    }
  });
});
