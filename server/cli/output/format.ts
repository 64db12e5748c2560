import { Option } from 'commander';
import type { Mission } from '../../../decoders/mission/types.ts';
import type { OutputRecord } from '../records.ts';
import { csvFormat } from './csv.ts';
import { ndjsonFormat } from './ndjson.ts';
import { textFormat } from './text.ts';

/** Turns records into text, in the order in which they come. */
export interface Format {
  /** What stands before the first record. */
  readonly head: string;
  print(record: OutputRecord): string;
}

const formats = { text: textFormat, ndjson: ndjsonFormat, csv: csvFormat };
export type FormatName = keyof typeof formats;

export function formatNamed(name: FormatName, missions: readonly Mission[]): Format {
  return formats[name](missions);
}

export function formatOption(): Option {
  return new Option('--format <format>', 'how to print the results').choices(Object.keys(formats)).default('text');
}
