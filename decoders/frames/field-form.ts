import { FiveunitError } from '../errors.ts';
import type { FieldForm, Sign } from '../mission/types.ts';
import type { RawValue } from './types.ts';

const DIGITS = '0123456789';
const HEX = '0123456789ABCDEF';
const LETTERS = 'ABCDEFGHIJKLMNOPQRSTUVWXYZ';

/** One way to print a field: for each character in turn, those that may stand there. */
export type FieldShape = readonly string[];

/**
 * Every way in which a field can be printed, no text in two of them. A `missing` text that the form can print by
 * itself (`9999` for four digits) needs no shape of its own.
 */
export function shapesOf(form: FieldForm, missing: readonly string[]): FieldShape[] {
  const shapes = formShapes(form);
  for (const text of missing) {
    if (!shapes.some((shape) => fits(shape, text))) shapes.push([...text]);
  }
  return shapes;
}

/**
 * The value that a printed field stands for; null for one of its `missing` texts and for text that is not of the form.
 * Digits give the signed number; hex, letters and symbols the number they spell, most significant first; `oneOf` its text.
 */
export function fieldValue(form: FieldForm, text: string, missing: readonly string[] = []): RawValue {
  if (missing.includes(text) || !formShapes(form).some((shape) => fits(shape, text))) return null;
  switch (form.kind) {
    case 'digits':
      return digitsValue(form.sign, text);
    case 'oneOf':
      return text;
    default:
      return positionalValue(symbolsOf(form), text);
  }
}

/**
 * How a value is printed; null prints the first of `missing`. Numbers are rounded to the decimals of the form and padded to its least width.
 * Throws `value-does-not-fit` when the form cannot print it.
 */
export function fieldText(form: FieldForm, raw: RawValue, missing: readonly string[] = []): string {
  if (raw === null) {
    if (missing.length > 0) return missing[0];
    throw doesNotFit(raw, 'a value, because no text for "no value" is defined');
  }
  if (form.kind === 'oneOf') {
    if (typeof raw === 'string' && form.texts.includes(raw)) return raw;
    throw doesNotFit(raw, `one of ${form.texts.join(', ')}`);
  }
  if (typeof raw !== 'number' || !Number.isFinite(raw)) throw doesNotFit(raw, 'a finite number');
  return form.kind === 'digits' ? digitsText(form, raw) : positionalText(form, raw);
}

/**
 * The text of a field sent inverted: each digit d as 9 - d, each hex digit bit by bit, each letter or symbol counted from the
 * other end. Signs, points and `missing` texts are sent as they are, and so is `oneOf`, which has no complement.
 */
export function complementText(form: FieldForm, text: string, missing: readonly string[] = []): string {
  if (form.kind === 'oneOf' || missing.includes(text)) return text;
  if (form.kind === 'digits') return text.replace(/\d/g, (digit) => DIGITS[9 - Number(digit)]);
  const symbols = symbolsOf(form);
  return Array.from(text, (symbol) => symbols[symbols.length - 1 - symbols.indexOf(symbol)]).join('');
}

/** How many whole numbers from 0 on the form can print, sign and point aside; null for `oneOf`. */
export function formCapacity(form: FieldForm): number | null {
  switch (form.kind) {
    case 'digits':
      return 10 ** (form.max + form.decimals);
    case 'oneOf':
      return null;
    default:
      return symbolsOf(form).length ** form.length;
  }
}

/** Lowest and highest value and the distance between neighbours; null for `oneOf`. */
export function formRange(form: FieldForm): { low: number; high: number; step: number } | null {
  const capacity = formCapacity(form);
  if (capacity === null) return null;
  const step = form.kind === 'digits' ? 10 ** -form.decimals : 1;
  const high = form.kind === 'digits' ? Number(`${'9'.repeat(form.max)}.${'9'.repeat(form.decimals)}0`) : capacity - 1;
  return { low: form.kind === 'digits' && form.sign !== undefined ? -high : 0, high, step };
}

function formShapes(form: FieldForm): FieldShape[] {
  if (form.kind === 'oneOf') return form.texts.map((text) => [...text]);
  if (form.kind !== 'digits') return [new Array<string>(form.length).fill(symbolsOf(form))];
  const tail = form.decimals > 0 ? ['.', ...new Array<string>(form.decimals).fill(DIGITS)] : [];
  const shapes: FieldShape[] = [];
  for (const sign of signShapes(form.sign)) {
    for (let width = form.min; width <= form.max; width++) {
      shapes.push([...sign, ...new Array<string>(width).fill(DIGITS), ...tail]);
    }
  }
  return shapes;
}

function signShapes(sign: Sign | undefined): FieldShape[] {
  if (sign === undefined) return [[]];
  if (sign === 'minus') return [[], ['-']];
  if (sign === 'always') return [['+-']];
  if (sign.plus.length === 1 && sign.minus.length === 1) return [[sign.plus + sign.minus]];
  return [[...sign.plus], [...sign.minus]];
}

function fits(shape: FieldShape, text: string): boolean {
  return text.length === shape.length && shape.every((characters, i) => characters.includes(text[i]));
}

function digitsValue(sign: Sign | undefined, text: string): number {
  const start = text.search(/\d/);
  const magnitude = Number(text.slice(start));
  const minus = typeof sign === 'object' ? sign.minus : '-';
  return start > 0 && text.slice(0, start) === minus && magnitude !== 0 ? -magnitude : magnitude;
}

function digitsText(form: Extract<FieldForm, { kind: 'digits' }>, raw: number): string {
  const fixed = Math.abs(raw) < 1e15 ? Math.abs(raw).toFixed(form.decimals) : '';
  const [whole, decimals] = fixed.split('.');
  const negative = raw < 0 && Number(fixed) !== 0;
  if (fixed === '' || whole.length > form.max || (negative && form.sign === undefined)) {
    const sign = form.sign === undefined ? 'without' : 'with';
    throw doesNotFit(raw, `a number with at most ${form.max} digits before the point, ${sign} a sign`);
  }
  const digits = whole.padStart(form.min, '0') + (decimals === undefined ? '' : `.${decimals}`);
  switch (form.sign) {
    case undefined:
      return digits;
    case 'minus':
      return negative ? `-${digits}` : digits;
    case 'always':
      return (negative ? '-' : '+') + digits;
    default:
      return (negative ? form.sign.minus : form.sign.plus) + digits;
  }
}

function symbolsOf(form: Extract<FieldForm, { kind: 'hex' | 'letters' | 'symbols' }>): string {
  if (form.kind === 'hex') return HEX;
  return form.kind === 'letters' ? LETTERS : form.symbols;
}

function positionalValue(symbols: string, text: string): number {
  let value = 0;
  for (const symbol of text) value = value * symbols.length + symbols.indexOf(symbol);
  return value;
}

function positionalText(form: Extract<FieldForm, { kind: 'hex' | 'letters' | 'symbols' }>, raw: number): string {
  const symbols = symbolsOf(form);
  const capacity = symbols.length ** form.length;
  if (!Number.isInteger(raw) || raw < 0 || raw >= capacity) {
    throw doesNotFit(raw, `a whole number from 0 to ${capacity - 1}`);
  }
  let text = '';
  for (let rest = raw, i = 0; i < form.length; i++, rest = Math.floor(rest / symbols.length)) {
    text = symbols[rest % symbols.length] + text;
  }
  return text;
}

function doesNotFit(raw: RawValue, expected: string): FiveunitError {
  return new FiveunitError(
    'value-does-not-fit',
    `${JSON.stringify(raw)} does not fit the field, which takes ${expected}`,
  );
}
