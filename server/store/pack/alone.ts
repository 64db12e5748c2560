import type { DecodedFrame } from '../../../decoders/frames/types.ts';
import type { AloneReading } from '../records.ts';
import { packFrameCharacters, unpackFrameCharacters } from './characters.ts';

/** A reading as JSON holds it: its characters as columns. */
interface Packed extends Omit<DecodedFrame, 'characters'> {
  readonly mission: string;
  readonly version: number;
  readonly characters: unknown;
}

/** What was read in one copy alone, as JSON: about 1.5 kB for a frame of 42 characters. */
export function packAlone({ mission, version, decoded }: AloneReading): string {
  const packed: Packed = {
    mission,
    version,
    ...decoded,
    characters: JSON.parse(packFrameCharacters(decoded.characters)),
  };
  return JSON.stringify(packed);
}

export function unpackAlone(json: string): AloneReading {
  const { mission, version, characters, ...decoded }: Packed = JSON.parse(json);
  return {
    mission,
    version,
    decoded: { ...decoded, characters: unpackFrameCharacters(JSON.stringify(characters)) },
  };
}
