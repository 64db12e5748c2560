import fastifySwagger from '@fastify/swagger';
import type { App } from './app-types.ts';

/** Collects the OpenAPI document from the schemas of the routes that are registered after it. */
export async function describeRoutes(app: App, version: string): Promise<void> {
  await app.register(fastifySwagger, {
    openapi: {
      openapi: '3.1.0',
      info: {
        title: 'Fiveunit',
        version,
        description:
          'Recordings and lines of teletype telemetry in, frames and readings out. Times are ISO 8601 UTC. Errors are RFC 9457 problem details with a stable code. Readers ignore keys that they do not know.',
      },
      components: {
        securitySchemes: {
          key: {
            type: 'http',
            scheme: 'bearer',
            description: "a station's key, the team's, or that of a recording's sender",
          },
        },
      },
      security: [{}, { key: [] }],
    },
  });
}
