import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parseMissionText, readMission } from '../../../decoders/mission/read.ts';
import type { Mission } from '../../../decoders/mission/types.ts';

/** A mission with the given frames (JSON layouts) and nothing else to say. */
export function missionOf(frames: Record<string, readonly unknown[]>, beacon: object = {}, more: object = {}): Mission {
  const { mission, faults } = readMission({
    fiveunit: 1,
    id: 'test-1',
    name: 'Test',
    callSign: 'Q0DUN',
    beacon: { modulation: 'afsk', baud: 45.45, markHz: 1275, spaceHz: 1445, ...beacon },
    frames: Object.entries(frames).map(([id, layout]) => ({ id, layout })),
    parameters: [],
    ...more,
  });
  if (!mission) throw new Error(`not a mission: ${JSON.stringify(faults)}`);
  return mission;
}

/** A mission of samples/. */
export function sampleMission(id: string): Mission {
  const file = join(import.meta.dirname, '../../../samples', `${id}.json`);
  const { mission, faults } = parseMissionText(readFileSync(file, 'utf8'));
  if (!mission) throw new Error(`not a mission: ${JSON.stringify(faults)}`);
  return mission;
}

const digits = (field: string, count: number | readonly number[]) => [{ field, digits: count }, { text: ' ' }];

/** 60-character frame: nine fields of four digits, a checksum of four hex digits. */
export function digitFrame(checksum: string | null, hex = 4): unknown[] {
  const fields = Array.from({ length: 9 }, (_, i) => digits(`f${i}`, 4)).flat();
  const head = [{ text: 'Q0DUN A ' }, ...fields];
  return checksum === null ? head.slice(0, -1) : [...head, { checksum, hex }];
}
