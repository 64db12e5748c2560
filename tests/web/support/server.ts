import { afterEach, vi } from 'vitest';

export interface Asked {
  readonly method: string;
  readonly path: string;
  readonly body: unknown;
  readonly headers: Headers;
}

type Answer = (asked: Asked) => { readonly status?: number; readonly json: unknown };

/**
 * Stands in for the server: answers by path, the longest beginning that fits counts. What was asked is kept, in order.
 */
export function answerWith(answers: Readonly<Record<string, unknown | Answer>>): Asked[] {
  const asked: Asked[] = [];
  const paths = Object.keys(answers).sort((a, b) => b.length - a.length);
  vi.stubGlobal('fetch', async (path: string, init: RequestInit = {}): Promise<Response> => {
    const body = typeof init.body === 'string' ? JSON.parse(init.body) : undefined;
    const one: Asked = { method: init.method ?? 'GET', path, body, headers: new Headers(init.headers) };
    asked.push(one);
    const known = paths.find((begin) => path.startsWith(begin));
    if (known === undefined) return problem(404, 'address-unknown', `nothing answers ${path} here`);
    const answer = answers[known];
    const { status = 200, json } = typeof answer === 'function' ? (answer as Answer)(one) : { json: answer };
    return new Response(JSON.stringify(json), { status, headers: { 'content-type': 'application/json' } });
  });
  return asked;
}

function problem(status: number, code: string, detail: string): Response {
  return new Response(JSON.stringify({ type: 'about:blank', title: code, status, detail, code }), {
    status,
    headers: { 'content-type': 'application/problem+json' },
  });
}

afterEach(() => vi.unstubAllGlobals());
