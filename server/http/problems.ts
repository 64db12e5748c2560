import { STATUS_CODES } from 'node:http';
import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Limits } from '../limits.ts';
import { REFUSALS, Refusal, type RefusalCode } from '../refusal.ts';
import type { Problem } from './messages.ts';

/** A refusal as problem details (RFC 9457). */
export function problemOf({ code, message, facts }: Refusal): Problem {
  const { status, title } = REFUSALS[code];
  const { faults, ...rest } = facts;
  return {
    type: `/problems/${code}`,
    title,
    status,
    detail: message,
    code,
    ...rest,
    ...(faults === undefined ? {} : { faults: faults.map((fault) => ({ ...fault })) }),
  };
}

export function sendRefusal(reply: FastifyReply, refusal: Refusal): FastifyReply {
  const { status } = REFUSALS[refusal.code];
  const { retryAfterSeconds } = refusal.facts;
  if (retryAfterSeconds !== undefined) reply.header('retry-after', Math.ceil(retryAfterSeconds));
  if (status === 401) reply.header('www-authenticate', 'Bearer');
  return reply.code(status).type('application/problem+json').send(problemOf(refusal));
}

export function wrongMediaType(): Refusal {
  return new Refusal('media-type-unknown', 'send JSON as application/json, recordings as multipart/form-data', {
    at: 'headers/content-type',
  });
}

/** Turns whatever was thrown into the refusal that the client gets; what should not have happened is complained of. */
export function refusalOf(
  error: unknown,
  request: FastifyRequest,
  limits: Limits,
  complain: (error: unknown, doing: string) => void,
): Refusal {
  if (error instanceof Refusal) return error;
  const { code, status, message } = factsOf(error);
  switch (code) {
    case 'FST_ERR_CTP_BODY_TOO_LARGE':
      return new Refusal('body-too-large', `the body may have at most ${limits.bodyBytes} bytes`, {
        limit: limits.bodyBytes,
      });
    case 'FST_ERR_CTP_INVALID_MEDIA_TYPE':
      return wrongMediaType();
    case 'FST_ERR_CTP_EMPTY_JSON_BODY':
    case 'FST_ERR_CTP_INVALID_JSON_BODY':
      return new Refusal('body-not-json', 'the body must be one JSON value', { at: 'body' });
    default:
  }
  if (status >= 400 && status < 500) return new Refusal(refusedBecause(status), message);
  if (status === 503)
    return new Refusal('stopping', 'the server is stopping: come again in a moment', { retryAfterSeconds: 5 });
  complain(error, `${request.method} ${request.routeOptions.url ?? 'unknown address'}`);
  return new Refusal(
    'internal',
    'this is a fault of the server; nothing that it had accepted is lost. Please report it',
  );
}

function refusedBecause(status: number): RefusalCode {
  return status === 404 ? 'address-unknown' : 'request-malformed';
}

function factsOf(error: unknown): { code: string; status: number; message: string } {
  if (!(error instanceof Error)) return { code: '', status: 500, message: '' };
  const code = 'code' in error && typeof error.code === 'string' ? error.code : '';
  const status = 'statusCode' in error && typeof error.statusCode === 'number' ? error.statusCode : 500;
  return { code, status, message: error.message === '' ? (STATUS_CODES[status] ?? 'refused') : error.message };
}
