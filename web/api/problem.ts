import type { Problem } from '../../server/http/messages.ts';

/** What went wrong with a request, ready to be said: RFC 9457 problem details, or the same made for a lost network. */
export class ApiProblem extends Error {
  readonly code: string;
  readonly status: number;
  readonly details: Partial<Problem>;

  constructor(code: string, status: number, message: string, details: Partial<Problem> = {}) {
    super(message);
    this.name = 'ApiProblem';
    this.code = code;
    this.status = status;
    this.details = details;
  }
}

const isObject = (value: unknown): value is Readonly<Record<string, unknown>> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

function isProblem(value: unknown): value is Problem {
  return isObject(value) && typeof value.code === 'string' && typeof value.detail === 'string';
}

/** Makes a problem of an answer's status and body, whatever the body is: proxies answer in HTML. */
export function problemOf(status: number, body: string): ApiProblem {
  let parsed: unknown = null;
  try {
    parsed = JSON.parse(body);
  } catch {
    // not JSON: said in words of our own below
  }
  if (isProblem(parsed)) return new ApiProblem(parsed.code, status, parsed.detail, parsed);
  const message =
    status >= 500
      ? `The server could not answer (status ${status}). Nothing that it had accepted is lost; try again in a minute.`
      : `The server refused this (status ${status}).`;
  return new ApiProblem(`http-${status}`, status, message);
}

/** The server could not be reached at all. */
export function unreachable(): ApiProblem {
  return new ApiProblem(
    'unreachable',
    0,
    'The server cannot be reached. Nothing on this page is lost; try again when the network is back.',
  );
}

/** Any thrown thing as a problem; what is not one is a fault of these pages and says so. */
export function asProblem(thrown: unknown): ApiProblem {
  if (thrown instanceof ApiProblem) return thrown;
  const message = thrown instanceof Error ? thrown.message : String(thrown);
  return new ApiProblem(
    'page-fault',
    0,
    `The page failed: ${message}. Load it anew; if it happens again, please report it.`,
  );
}
