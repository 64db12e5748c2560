import type { RawValue } from '../../../decoders/frames/types.ts';
import type { FieldValues } from '../../../decoders/simulate/index.ts';
import { CommandError } from '../exit.ts';

/** A frame to send, by the values of its fields. */
export interface Transmission {
  readonly frame: string;
  readonly values: FieldValues;
}

/**
 * The list of transmissions in a JSON file.
 *
 * @param file for error messages.
 * @throws CommandError saying where the text is no such list.
 */
export function parseValues(file: string, text: string): Transmission[] {
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch (error) {
    throw refused(file, `this is no JSON: ${error instanceof Error ? error.message : error}`);
  }
  if (!Array.isArray(json) || json.length === 0) {
    throw refused(file, 'a list such as [{ "frame": "power", "values": { "battery": 7921 } }] is expected');
  }
  return json.map((entry, i) => transmissionOf(entry, `[${i}]`, file));
}

function transmissionOf(entry: unknown, path: string, file: string): Transmission {
  if (!isRecord(entry) || typeof entry.frame !== 'string' || !isRecord(entry.values)) {
    throw refused(file, `at ${path}, { "frame": ID, "values": { ... } } is expected`);
  }
  const values: Record<string, RawValue> = {};
  for (const [field, value] of Object.entries(entry.values)) {
    if (typeof value !== 'number' && typeof value !== 'string' && value !== null) {
      throw refused(file, `at ${path}.values.${field}, a number, a text or null (no value) is expected`);
    }
    values[field] = value;
  }
  return { frame: entry.frame, values };
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function refused(file: string, message: string): CommandError {
  return new CommandError('bad-values', `${file}: ${message}`);
}
