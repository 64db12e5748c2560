import Ajv from 'ajv';
import addFormats from 'ajv-formats';
import type { FastifySchemaCompiler } from 'fastify';
import type { Static, TSchema } from 'typebox';
import { Refusal } from '../refusal.ts';
import { schemaRefusal } from './schema-errors.ts';

/**
 * JSON says what its types are: a body is never bent to fit, so that null stays null and "12" is no number. Queries, paths,
 * headers and form fields are all text, and become what the schema says.
 */
const asGiven = ajv(false);
const fromText = ajv('array');

function ajv(coerceTypes: false | 'array'): Ajv.default {
  const instance = new Ajv.default({
    coerceTypes,
    useDefaults: true,
    removeAdditional: false,
    verbose: true,
    strictTypes: false,
  });
  addFormats.default(instance);
  return instance;
}

export const validatorCompiler: FastifySchemaCompiler<TSchema> = ({ schema, httpPart }) => {
  const part = httpPart ?? 'request';
  const validate = (httpPart === 'body' ? asGiven : fromText).compile(schema);
  return (data: unknown) => {
    if (!validate(data)) return { error: schemaRefusal(validate.errors ?? [], part) };
    const endless = endlessNumber(data, part);
    return endless === null ? { value: data } : { error: endless };
  };
};

/** Reads the fields of a form, all of which are text. Throws a `Refusal`. */
export function formReader<T extends TSchema>(schema: T): (fields: Readonly<Record<string, string>>) => Static<T> {
  const validate = fromText.compile<Static<T>>(schema);
  return (fields) => {
    const data: unknown = { ...fields };
    if (!validate(data)) throw schemaRefusal(validate.errors ?? [], 'body');
    const endless = endlessNumber(data, 'body');
    if (endless !== null) throw endless;
    return data;
  };
}

/** Reads a JSON message of a socket. Throws a `Refusal`. */
export function jsonReader<T extends TSchema>(schema: T): (text: string) => Static<T> {
  const validate = asGiven.compile<Static<T>>(schema);
  return (text) => {
    let data: unknown;
    try {
      data = JSON.parse(text);
    } catch {
      throw new Refusal('body-not-json', 'the message is not JSON');
    }
    if (!validate(data)) throw schemaRefusal(validate.errors ?? [], 'message');
    const endless = endlessNumber(data, 'message');
    if (endless !== null) throw endless;
    return data;
  };
}

/** Ajv takes "1e999" for a number and then holds it against no bound. Text has no depth, so one level is all there is. */
function endlessNumber(data: unknown, part: string): Refusal | null {
  if (typeof data !== 'object' || data === null) return null;
  const found = Object.entries(data).find(([, value]) => typeof value === 'number' && !Number.isFinite(value));
  if (found === undefined) return null;
  const at = `${part}/${found[0]}`;
  return new Refusal('request-malformed', `${at} must be a number that can be written out; ${found[1]} was given`, {
    at,
  });
}
