import { renderFrame } from '../../../decoders/frames/render.ts';
import { readMission } from '../../../decoders/mission/read.ts';
import type { Mission } from '../../../decoders/mission/types.ts';
import type { Random } from '../../../decoders/simulate/random.ts';

/** The test frame: 21 literal codes, nine fields of four digits, a checksum of the given name, about 62 characters. */
export function digitDefinition(checksum: string | null, callSign = 'Q0DUN', beacon: object = {}): unknown {
  const fields = Array.from({ length: 9 }, (_, i) => [{ field: `f${i}`, digits: 4 }, { text: ' ' }]).flat();
  const layout: unknown[] = [{ text: `${callSign} A ` }, ...fields];
  if (checksum === null) layout.pop();
  else layout.push({ checksum, hex: checksum.startsWith('crc-16') ? 4 : 2 });
  return {
    fiveunit: 1,
    id: 'bench-1',
    name: 'Bench',
    callSign,
    beacon: { modulation: 'afsk', ...beacon },
    frames: [{ id: 'a', layout }],
    parameters: [],
  };
}

export function digitMission(checksum: string | null, callSign?: string): Mission {
  const { mission, faults } = readMission(digitDefinition(checksum, callSign));
  if (!mission) throw new Error(JSON.stringify(faults));
  return mission;
}

export function randomFrame(mission: Mission, random: Random): string {
  const values = Object.fromEntries(Array.from({ length: 9 }, (_, i) => [`f${i}`, random.integer(10_000)]));
  return renderFrame(mission, 'a', values);
}
