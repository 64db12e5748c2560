import { createServer, type IncomingMessage } from 'node:http';
import { onTestFinished } from 'vitest';
import type { TestApp } from './app.ts';

/**
 * A line to a server that can break.
 *
 * @param breaks takes a request upon itself, to break it; false lets it through.
 * @returns the address at which the server is reached over the line.
 */
export async function lineTo({ app }: TestApp, breaks: (request: IncomingMessage) => boolean): Promise<string> {
  const line = createServer((request, response) => {
    if (breaks(request)) return;
    const parts: Buffer[] = [];
    request.on('data', (part) => parts.push(part));
    request.on('end', async () => {
      const headers = Object.fromEntries(
        Object.entries(request.headers).filter(([name]) => !['transfer-encoding', 'connection'].includes(name)),
      ) as Record<string, string>;
      const url = request.url ?? '/';
      const method = request.method === 'POST' ? 'POST' : 'GET';
      const answer = await app.inject({ method, url, headers, payload: Buffer.concat(parts) });
      response.writeHead(answer.statusCode, { 'content-type': 'application/json' }).end(answer.payload);
    });
  });
  await new Promise<void>((listening) => line.listen(0, '127.0.0.1', listening));
  onTestFinished(() => void line.close());
  const address = line.address();
  return `http://127.0.0.1:${typeof address === 'object' && address !== null ? address.port : 0}`;
}
