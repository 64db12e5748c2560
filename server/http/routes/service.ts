import { Type } from 'typebox';
import type { Services } from '../../services.ts';
import type { App } from '../app-types.ts';
import type { LiveHub } from '../live-hub.ts';
import { Healthz } from '../messages.ts';
import { metricsText, type RequestCounts } from '../metrics.ts';
import { openApiDocument } from '../openapi.ts';

/** What those who keep the server running ask. */
export function serviceRoutes(
  app: App,
  services: Services,
  { live, requests, version }: { live: LiveHub; requests: RequestCounts; version: string },
): void {
  app.get('/healthz', { schema: { summary: 'Whether the server works', response: { 200: Healthz } } }, async () => ({
    status: 'ok' as const,
    version,
    uptimeSeconds: process.uptime(),
    jobs: await services.store.jobCounts(),
  }));

  app.get(
    '/metrics',
    {
      schema: {
        summary: 'State of the server in the Prometheus text format',
        response: { 200: { content: { 'text/plain': { schema: Type.String() } } } },
      },
    },
    async (_request, reply) => {
      reply.type('text/plain; version=0.0.4; charset=utf-8');
      return metricsText(services, requests, live.connections);
    },
  );

  app.get('/api/openapi.json', { schema: { hide: true } }, async () => openApiDocument(app));
}
