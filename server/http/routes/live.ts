import { Refusal } from '../../refusal.ts';
import type { Services } from '../../services.ts';
import type { App } from '../app-types.ts';
import type { LiveHub } from '../live-hub.ts';
import { LiveQuery } from '../messages.ts';

export function liveRoutes(app: App, { limits }: Services, live: LiveHub): void {
  app.route({
    method: 'GET',
    url: '/api/live',
    schema: { querystring: LiveQuery },
    preHandler: async () => {
      if (live.connections < limits.liveConnections) return;
      throw new Refusal('too-many-requests', `${limits.liveConnections} pages listen already: come again in a minute`, {
        limit: limits.liveConnections,
        retryAfterSeconds: 60,
      });
    },
    handler: async () => {
      throw new Refusal('upgrade-needed', 'events come over a WebSocket: connect to this address with ws: or wss:');
    },
    wsHandler: (socket, { query, caller }) => live.connect(socket, caller, query.since ?? null),
  });
}
