import { syncClock } from '../shell/clock.ts';
import { answerOf } from '../site/answers.ts';
import { site } from '../site/site.ts';
import { problemOf, unreachable } from './problem.ts';

export interface RequestOptions {
  readonly method?: 'GET' | 'POST' | 'PATCH' | 'DELETE';
  readonly body?: unknown;
  /** Bearer token. */
  readonly key?: string | null;
  readonly signal?: AbortSignal;
}

/**
 * Asks the server and gives its JSON; of a static site, what it carries. The server checks what it writes against the
 * same schemas that `T` comes from, and only the server that sent these pages is ever asked, so the answer is not checked
 * a second time here.
 * Throws `ApiProblem` for every refusal and when the server cannot be reached; an abort stays an abort.
 */
export async function request<T>(path: string, options: RequestOptions = {}): Promise<T> {
  if (site !== null) return answerOf(site, options.method ?? 'GET', path) as T;
  const text = await ask(path, options, (response) => response.text());
  if (text === '') return undefined as T;
  try {
    return JSON.parse(text) as T;
  } catch {
    throw problemOf(502, text);
  }
}

/** Asks the server for bytes. Throws as `request` does. */
export async function requestBytes(path: string, options: RequestOptions = {}): Promise<Uint8Array> {
  return new Uint8Array(await ask(path, options, (response) => response.arrayBuffer()));
}

async function ask<T>(path: string, options: RequestOptions, read: (response: Response) => Promise<T>): Promise<T> {
  const headers = new Headers({ accept: 'application/json, */*;q=0.5' });
  if (options.body !== undefined) headers.set('content-type', 'application/json');
  if (options.key) headers.set('authorization', `Bearer ${options.key}`);
  const init: RequestInit = { method: options.method ?? 'GET', headers };
  if (options.body !== undefined) init.body = JSON.stringify(options.body);
  if (options.signal !== undefined) init.signal = options.signal;
  let response: Response;
  let refused: string;
  try {
    response = await fetch(path, init);
    syncClock(response.headers.get('date'));
    if (response.ok) return await read(response);
    refused = await response.text();
  } catch (error) {
    if (options.signal?.aborted === true) throw error;
    throw unreachable();
  }
  throw problemOf(response.status, refused);
}
