import { fieldValue, shapesOf } from '../frames/field-form.ts';
import type { RawValue } from '../frames/types.ts';
import type { FieldPart, LayoutPart } from '../mission/types.ts';
import type { Random } from './random.ts';

/** What stands in the fields of a frame, by their ids. */
export type FieldValues = Readonly<Record<string, RawValue>>;

/** Random values for the fields of a layout, with its optional parts in or out and one of each choice taken. */
export function randomValues(layout: readonly LayoutPart[], random: Random): FieldValues {
  const values: Record<string, RawValue> = {};
  for (const part of layout) {
    if (part.part === 'field') values[part.field] = randomValue(part, random);
    else if (part.part === 'optional' && random.uniform() < 0.5)
      Object.assign(values, randomValues(part.layout, random));
    else if (part.part === 'either') Object.assign(values, randomValues(random.pick(part.layouts), random));
  }
  return values;
}

function randomValue({ form, missing, wraps }: FieldPart, random: Random): RawValue {
  const shape = random.pick(shapesOf(form, []));
  const value = fieldValue(form, shape.map((characters) => random.pick([...characters])).join(''), missing);
  return typeof value === 'number' && wraps !== undefined ? value % wraps : value;
}
