import type { Format } from './format.ts';

/** One JSON object a line. */
export function ndjsonFormat(): Format {
  return { head: '', print: (record) => `${JSON.stringify(record)}\n` };
}
