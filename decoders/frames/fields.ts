import { fieldAlone } from './character-alone.ts';
import { completeFieldText } from './complete-field.ts';
import type { JudgedInput } from './decision-input.ts';
import { fieldValue } from './field-form.ts';
import type { Masses } from './masses.ts';
import type { DecodedField } from './types.ts';
import type { WrittenCandidate } from './write-candidate.ts';

/** The fields of a reading that were received whole, each no surer than `mostOf` it. */
export function fieldsOf(
  { layout, span, scores }: JudgedInput,
  { reading, confidenceOf }: Masses,
  mostOf: (field: string) => number,
): Record<string, DecodedField> {
  const { printed } = layout.graph;
  const fields: Record<string, DecodedField> = {};
  for (const part of printed.fields) {
    const textIn = ({ characters }: WrittenCandidate) => completeFieldText(printed, characters, span, part.field);
    const text = textIn(reading);
    if (text === null) continue;
    const alone = fieldAlone(layout, reading.characters, part.field, scores);
    const confidence = confidenceOf(part.field, (content) => textIn(content.best) === text, alone);
    fields[part.field] = {
      raw: fieldValue(part.form, text, part.missing),
      text,
      confidence: Math.min(confidence, mostOf(part.field)),
    };
  }
  return fields;
}
