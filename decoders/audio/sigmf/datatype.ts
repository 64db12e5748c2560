import type { NumberLayout } from '../number-layout.ts';
import type { SampleFormat } from '../sample-format.ts';

/** How samples lie in a SigMF data file (`core:datatype`, SigMF 1.2.5). */
export interface SigmfDatatype extends NumberLayout {
  readonly isComplex: boolean;
}

const FORMATS: Readonly<Record<string, { readonly format: SampleFormat; readonly turnsSign: boolean }>> = {
  u8: { format: 'pcm8', turnsSign: false },
  i8: { format: 'pcm8', turnsSign: true },
  i16: { format: 'pcm16', turnsSign: false },
  u16: { format: 'pcm16', turnsSign: true },
  i32: { format: 'pcm32', turnsSign: false },
  u32: { format: 'pcm32', turnsSign: true },
  f32: { format: 'float32', turnsSign: false },
  f64: { format: 'float64', turnsSign: false },
};

/** Null for a text that names no type. */
export function parseSigmfDatatype(name: string): SigmfDatatype | null {
  const parts = /^([cr])(f32|f64|i32|i16|u32|u16|i8|u8)(?:_(le|be))?$/.exec(name);
  if (parts === null) return null;
  const [, kind, number, order] = parts;
  // A byte has no order; of longer numbers little-endian is usual where none is named.
  return { isComplex: kind === 'c', ...FORMATS[number], isBigEndian: order === 'be' };
}
