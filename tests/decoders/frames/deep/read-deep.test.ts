import { describe, expect, test } from 'vitest';
import { PROBABLE_POSTERIOR } from '../../../../decoders/frames/accept.ts';
import { compileMission } from '../../../../decoders/frames/compiled-mission.ts';
import { type DeepReading, readDeep } from '../../../../decoders/frames/deep/read-deep.ts';
import { matchFrames } from '../../../../decoders/frames/match.ts';
import { renderFrame } from '../../../../decoders/frames/render.ts';
import type { DecodedFrame } from '../../../../decoders/frames/types.ts';
import type { Mission } from '../../../../decoders/mission/types.ts';
import { digitFrame, missionOf } from '../../support/missions.ts';
import { heard, VALUES } from './heard.ts';

const MISSION = missionOf({ a: digitFrame(null) });
const CHECKED = missionOf({ a: digitFrame('crc-16/ibm-3740') });
const TEXT = renderFrame(MISSION, 'a', VALUES);
const CRC = { checksum: 'crc-16/ibm-3740', hex: 4 };
const SEEDS = [1, 2, 3, 4];
const ONES = new Float64Array(200).fill(1);

function readThroughPhase(text: string, seed: number, ebN0Db: number): DecodedFrame {
  const frame = deepReading(MISSION, text, seed, ebN0Db)?.frame;
  if (!frame) throw new Error('no frame');
  return frame;
}

function deepReading(mission: Mission, text: string, seed: number, ebN0Db: number): DeepReading | null {
  const [layout] = compileMission(mission);
  const signal = heard(text, 'continuous', seed, ebN0Db);
  const fromSlot = matchFrames(signal.soft, [mission])[0]?.fromSlot ?? 0;
  return readDeep({ layout, rivals: [layout], signal, fromSlot });
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

  describe.each([
    ['text', [CRC, { text: ' K' }]],
    ['text that may be missing', [CRC, { optional: [{ text: '\r\nQRX 73' }] }]],
    ['two checksums and text', [{ checksum: 'xor-8', hex: 2 }, { text: ' ' }, CRC, { text: ' AR' }]],
    ['a copy, a checksum and text', [{ again: 'f0' }, { text: ' ' }, CRC, { text: ' K' }]],
    ['a checksum and a field', [CRC, { text: ' ' }, { field: 'late', digits: 2 }]],
  ])('with %s at the end', (_, end) => {
    const mission = missionOf({ a: [...digitFrame(null), { text: ' ' }, ...end] });
    const text = renderFrame(mission, 'a', { ...VALUES, late: 42 });

    test('a frame at 3 dB is confirmed', () => {
      const frame = deepReading(mission, text, 1, 3)?.frame;
      expect(frame?.text).toBe(text);
      expect(frame?.checksum).toBe('pass');
      expect(frame?.trust).toBe('confirmed');
      expect(frame?.characters).toHaveLength(text.length);
    });

    test('a digit that was altered after the checksum was made is contradicted by it', () => {
      const altered = text.replace(' 1016 ', ' 1017 ');
      const deep = deepReading(mission, altered, 1, 8);
      expect(altered).not.toBe(text);
      expect(deep).not.toBeNull();
      expect(deep?.frame).toBeNull();
    });
  });
});
