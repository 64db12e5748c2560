import { readingsOf } from '../../../decoders/engineering/readings.ts';
import type { Reading } from '../../../decoders/engineering/types.ts';
import { readTypedText, type TypedReading } from '../../../decoders/frames/typed.ts';
import type { DecodedFrame } from '../../../decoders/frames/types.ts';
import { spokenIn } from '../../../decoders/mission/practice.ts';
import type { Mission } from '../../../decoders/mission/types.ts';

export interface LineReading {
  readonly frames: readonly { readonly frame: DecodedFrame; readonly readings: readonly Reading[] }[];
  readonly assumptions: readonly string[];
  readonly nearest: TypedReading['nearest'];
}

/** What a typed line says, by the same code that the server reads it with. */
export function readLine(mission: Mission, text: string): LineReading {
  const { frames, assumptions, nearest } = readTypedText(spokenIn(text, mission), text);
  return {
    frames: frames.map((frame) => ({ frame, readings: readingsOf(mission, frame, { receivedAt: null }) })),
    assumptions,
    nearest,
  };
}
