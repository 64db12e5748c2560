import { existsSync } from 'node:fs';
import { join } from 'node:path';
import fastifyStatic from '@fastify/static';
import { Refusal } from '../refusal.ts';
import type { App } from './app-types.ts';
import { sendRefusal } from './problems.ts';

const NOT_BUILT = `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>Fiveunit</title></head>
<body><h1>The pages are not built</h1>
<p>The server works, its interface is at <a href="/api/openapi.json">/api/openapi.json</a>.
To see the pages, run <code>npm run build</code> in the checkout and reload.</p></body></html>
`;

/** Addresses that belong to programs: a page is never the answer there. */
const FOR_PROGRAMS = /^\/(api|metrics|healthz)(\/|$)/;

/**
 * Serves the built pages. Every page's address gets the one document, which finds out by itself what to show; files
 * whose names change with their content are kept by browsers for good.
 */
export async function servePages(app: App, webDir: string): Promise<void> {
  const built = existsSync(join(webDir, 'index.html'));
  if (built) {
    await app.register(fastifyStatic, {
      root: webDir,
      wildcard: false,
      cacheControl: false,
      setHeaders: (reply, path) => {
        const lasting = path.startsWith(join(webDir, 'assets'));
        reply.header('cache-control', lasting ? 'public, max-age=31536000, immutable' : 'no-cache');
      },
    });
  }
  app.setNotFoundHandler((request, reply) => {
    const path = request.url.split('?')[0];
    const isPage =
      (request.method === 'GET' || request.method === 'HEAD') && !FOR_PROGRAMS.test(path) && !/\.\w+$/.test(path);
    if (!isPage) {
      return sendRefusal(
        reply,
        new Refusal('address-unknown', `nothing answers ${request.method} here: see /api/openapi.json`),
      );
    }
    if (!built) return reply.code(503).type('text/html; charset=utf-8').send(NOT_BUILT);
    return reply.sendFile('index.html');
  });
}
