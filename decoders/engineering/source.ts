import { fieldText, formCapacity } from '../frames/field-form.ts';
import type { RawValue } from '../frames/types.ts';
import type { FieldForm, ParameterSource } from '../mission/types.ts';

export type FieldSource = Extract<ParameterSource, { source: 'field' }>;
export type JoinSource = Extract<ParameterSource, { source: 'join' }>;

/** A field's value in a frame, with the form it was printed in. */
export interface SourceField {
  readonly form: FieldForm;
  readonly raw: RawValue;
}

/** The raw value of a parameter taken from one field: the whole field, or some of its bits; null for "no value". */
export function fieldRaw(source: Pick<FieldSource, 'bits' | 'signed'>, field: SourceField): RawValue {
  if (typeof field.raw !== 'number') return field.raw;
  const [low, high] = source.bits ?? [0, Math.log2(formCapacity(field.form) ?? 1) - 1];
  if (source.bits === undefined && !source.signed) return field.raw;
  const width = high - low + 1;
  const bits = Math.floor(field.raw / 2 ** low) % 2 ** width;
  return source.signed ? signedNumber(bits, width) : bits;
}

/**
 * The raw value of a parameter joined from several fields; null when one has no value, when a `bcd` digit is above nine and
 * when a `float32` is no finite number (IEEE 754 binary32).
 */
export function joinRaw(
  source: Pick<JoinSource, 'order' | 'as' | 'signed'>,
  fields: readonly SourceField[],
): number | null {
  const ordered = source.order === 'big' ? fields : [...fields].reverse();
  let value = 0;
  let capacity = 1;
  let hex = '';
  for (const { form, raw } of ordered) {
    const size = formCapacity(form);
    if (typeof raw !== 'number' || size === null) return null;
    value = value * size + raw;
    capacity *= size;
    if (source.as !== 'integer') hex += fieldText(form, raw);
  }
  switch (source.as) {
    case 'integer':
      return source.signed ? signedNumber(value, Math.log2(capacity)) : value;
    case 'bcd':
      return /^\d+$/.test(hex) ? Number(hex) : null;
    case 'float32': {
      const view = new DataView(new ArrayBuffer(4));
      view.setUint32(0, value);
      const float = view.getFloat32(0);
      return Number.isFinite(float) ? float : null;
    }
  }
}

/** Two's complement. */
function signedNumber(bits: number, width: number): number {
  return bits >= 2 ** (width - 1) ? bits - 2 ** width : bits;
}
