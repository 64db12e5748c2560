import type { Reading } from '../../../decoders/engineering/types.ts';
import type { DecodedFrame } from '../../../decoders/frames/types.ts';
import type { LayoutPart, Mission } from '../../../decoders/mission/types.ts';
import { fieldsBehind } from '../../marks/fields-behind.ts';
import { fieldRuns } from '../../marks/frame-text.tsx';
import { valueText } from '../../words/number.ts';

/** A piece of a sample line with what it means. */
export interface LinePart {
  readonly text: string;
  readonly meaning: string;
}

const CALL_SIGN = 'call sign';
const FIXED = 'always the same';

/** The pieces of a frame in the order in which they are sent, each with the readings that come from it alone. */
export function lineParts(
  mission: Mission,
  { frame, readings }: { readonly frame: DecodedFrame; readonly readings: readonly Reading[] },
): LinePart[] {
  const layout = mission.frames.find(({ id }) => id === frame.frame)?.layout ?? [];
  const fixed = new Set(fixedWords(layout));
  const checksums = checksumNames(layout);
  return fieldRuns(frame.characters).flatMap(({ field, characters }) => {
    const text = characters.map((one) => one.text).join('');
    if (field !== null) return [{ text, meaning: meaningOfField(mission, readings, field) }];
    const words = text.split(/\s+/).filter((word) => word !== '');
    return words.map((word) => {
      if (word === mission.callSign) return { text: word, meaning: CALL_SIGN };
      if (fixed.has(word)) return { text: word, meaning: FIXED };
      return { text: word, meaning: `checksum (${checksums.shift() ?? 'of the text before it'})` };
    });
  });
}

function meaningOfField(mission: Mission, readings: readonly Reading[], field: string): string {
  const meanings = mission.parameters.flatMap((parameter) => {
    const reading = readings.find((one) => one.parameter === parameter.id);
    const behind = fieldsBehind(mission, parameter.id);
    if (reading === undefined || parameter.source.source === 'derive' || !behind.has(field)) return [];
    const value = valueText(reading.value, reading.unit, parameter.decimals);
    return `${parameter.name}: ${value}${behind.size > 1 ? ' (part of it)' : ''}`;
  });
  return meanings.length === 0 ? field : meanings.join('; ');
}

function fixedWords(layout: readonly LayoutPart[]): string[] {
  return everyPart(layout).flatMap((part) => (part.part === 'text' ? part.text.split(/\s+/) : []));
}

function checksumNames(layout: readonly LayoutPart[]): string[] {
  return everyPart(layout).flatMap((part) => (part.part === 'checksum' ? part.algorithm : []));
}

function everyPart(layout: readonly LayoutPart[]): LayoutPart[] {
  return layout.flatMap((part) => {
    if (part.part === 'optional') return everyPart(part.layout);
    return part.part === 'either' ? part.layouts.flatMap(everyPart) : part;
  });
}
