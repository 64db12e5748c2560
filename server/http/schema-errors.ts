import type { FastifySchemaValidationError } from 'fastify';
import { Refusal } from '../refusal.ts';

/** What Ajv adds when it is told to be verbose. */
type VerboseError = FastifySchemaValidationError & { readonly data?: unknown };

const SHOWN_CHARACTERS = 60;

/**
 * A refusal that says what was given and what may be.
 *
 * @param part of the request: `body`, `querystring`, `params` or `headers`.
 */
export function schemaRefusal(errors: readonly VerboseError[], part: string): Refusal {
  const [first] = errors;
  // A value that fits none of several forms is one error for each of them.
  const same = errors.filter(({ instancePath, keyword }) => instancePath === first.instancePath && keyword !== 'anyOf');
  const wanted = [...new Set((same.length > 0 ? same : [first]).map(wantedBy))].join(' or ');
  const at = `${part}${first.instancePath}`;
  const unknown = first.keyword === 'additionalProperties' ? first.params.additionalProperty : null;
  const given =
    unknown === null ? `${shown(first.data)} was given` : `${shown(unknown)} was given, which is not known here`;
  return new Refusal('request-malformed', `${at} ${wanted}; ${given}`, { at });
}

function wantedBy({ keyword, message, params }: VerboseError): string {
  switch (keyword) {
    case 'additionalProperties':
      return 'must hold known names only';
    case 'enum':
      return `must be one of ${[params.allowedValues].flat().map(shown).join(', ')}`;
    case 'const':
      return `must be ${shown(params.allowedValue)}`;
    case 'format':
      return params.format === 'date-time' ? 'must be a time such as 2031-05-04T09:12:07Z' : (message ?? '');
    default:
      return message ?? 'is not as described';
  }
}

function shown(value: unknown): string {
  const text = value === undefined ? 'nothing' : JSON.stringify(value);
  return text.length > SHOWN_CHARACTERS ? `${text.slice(0, SHOWN_CHARACTERS)}…` : text;
}
