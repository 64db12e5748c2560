import Ajv from 'ajv';
import addFormats from 'ajv-formats';
import type { FastifySchemaCompiler } from 'fastify';
import type { Static, TSchema } from 'typebox';
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
  const validate = (httpPart === 'body' ? asGiven : fromText).compile(schema);
  return (data: unknown) =>
    validate(data) ? { value: data } : { error: schemaRefusal(validate.errors ?? [], httpPart ?? 'request') };
};

/** Reads the fields of a form, all of which are text. Throws a `Refusal`. */
export function formReader<T extends TSchema>(schema: T): (fields: Readonly<Record<string, string>>) => Static<T> {
  const validate = fromText.compile<Static<T>>(schema);
  return (fields) => {
    const data: unknown = { ...fields };
    if (validate(data)) return data;
    throw schemaRefusal(validate.errors ?? [], 'body');
  };
}
