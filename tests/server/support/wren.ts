import { renderFrame } from '../../../decoders/frames/render.ts';
import type { DecodedFrame } from '../../../decoders/frames/types.ts';
import { readMission } from '../../../decoders/mission/read.ts';
import type { Mission } from '../../../decoders/mission/types.ts';
import { wren } from './app.ts';
import { decodedFrame } from './records.ts';

export function wrenMission(change: Record<string, unknown> = {}): Mission {
  const { mission, faults } = readMission(wren(change));
  if (mission === null) throw new Error(JSON.stringify(faults));
  return mission;
}

interface Power {
  readonly count?: number;
  readonly battery?: number;
  readonly current?: number;
  readonly mode?: string;
}

/** The text of a power frame of `wren-1`, checksum and all. */
export function powerText({ count = 42, battery = 7921, current = -130, mode = 'NOM' }: Power = {}): string {
  return renderFrame(wrenMission(), 'power', { count, battery, current, mode });
}

/** A power frame as a decoder reads it from a recording. */
export function powerFrame(values: Power = {}, change: Partial<DecodedFrame> = {}): { mission: string } & DecodedFrame {
  const text = powerText(values);
  const [, , count, battery, current, mode] = text.split(' ');
  const field = (raw: number | string, printed: string) => ({ raw, text: printed, confidence: 0.99999 });
  return {
    mission: 'wren-1',
    ...decodedFrame({
      frame: 'power',
      text,
      fields: {
        count: field(Number(count), count),
        battery: field(Number(battery), battery),
        current: field(Number(current), current),
        mode: field(mode, mode),
      },
      ...change,
    }),
  };
}
