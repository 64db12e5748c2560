import type { FrameCharacter } from '../../../decoders/frames/types.ts';
import type { PrintedCharacter } from '../../../decoders/teletype/types.ts';

/** Characters as columns, which JSON holds in a fifth of the space. */
interface Columns {
  readonly text: readonly string[];
  readonly slot: readonly number[];
  readonly confidence: readonly number[];
}

interface FrameColumns extends Columns {
  /** Names of the fields, and for each character the place of its field among them, -1 for none. */
  readonly fields: readonly string[];
  readonly field: readonly number[];
}

export function packPrinted(characters: readonly PrintedCharacter[]): string {
  return JSON.stringify(columns(characters));
}

export function unpackPrinted(json: string): PrintedCharacter[] {
  const { text, slot, confidence }: Columns = JSON.parse(json);
  return text.map((character, i) => ({ text: character, slot: slot[i], confidence: confidence[i] }));
}

export function packFrameCharacters(characters: readonly FrameCharacter[]): string {
  const fields = [...new Set(characters.flatMap((character) => character.field ?? []))];
  const packed: FrameColumns = {
    ...columns(characters),
    fields,
    field: characters.map((character) => (character.field === null ? -1 : fields.indexOf(character.field))),
  };
  return JSON.stringify(packed);
}

export function unpackFrameCharacters(json: string): FrameCharacter[] {
  const { text, slot, confidence, fields, field }: FrameColumns = JSON.parse(json);
  return text.map((character, i) => ({
    text: character,
    slot: slot[i],
    confidence: confidence[i],
    field: field[i] < 0 ? null : fields[field[i]],
  }));
}

function columns(characters: readonly PrintedCharacter[]): Columns {
  return {
    text: characters.map((character) => character.text),
    slot: characters.map((character) => character.slot),
    confidence: characters.map((character) => Math.round(character.confidence * 1e6) / 1e6),
  };
}
