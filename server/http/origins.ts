import type { FastifyRequest } from 'fastify';
import { Refusal } from '../refusal.ts';
import type { App } from './app-types.ts';

const READING = new Set(['GET', 'HEAD', 'OPTIONS']);

/**
 * Refuses what pages of another site make a visitor's browser ask for: changes, and connections that stay. Browsers
 * name the page's origin with these; programs name none, and are let through. Which host is ours is what the request says
 * (behind a trusted proxy what the proxy says), and the public address where there is one.
 *
 * @param publicUrl as people reach this server; null when it is not known.
 */
export function refuseForeignOrigins(app: App, publicUrl: string | null): void {
  const ours = publicUrl === null ? null : new URL(publicUrl).host;
  app.addHook('preParsing', async (request) => {
    const { origin } = request.headers;
    const stays = request.headers.upgrade !== undefined;
    if (origin === undefined || (READING.has(request.method) && !stays)) return;
    const host = hostOf(origin);
    if (host !== null && (host === ours || host === hostAsked(request))) return;
    throw new Refusal(
      'origin-refused',
      `a page of ${origin} asks, and this server is ${ours ?? hostAsked(request) ?? 'another'}: open its own pages; behind a proxy, start it with --public-url`,
      { at: 'headers/origin' },
    );
  });
}

/** Host and port of an origin; null for `null` and for what is none. */
function hostOf(origin: string): string | null {
  return URL.canParse(origin) ? new URL(origin).host : null;
}

/** Host and port that the browser asked, written as `hostOf` writes them. */
function hostAsked({ host, protocol }: FastifyRequest): string | null {
  return hostOf(`${protocol}://${host}`);
}
