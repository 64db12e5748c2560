import type { ListenHub } from '../../listen/hub.ts';
import { Refusal } from '../../refusal.ts';
import type { App } from '../app-types.ts';

export function listenRoutes(app: App, hub: ListenHub): void {
  app.route({
    method: 'GET',
    url: '/api/listen',
    preHandler: async ({ caller }) => {
      if (caller.kind === 'station' || caller.kind === 'team') return;
      throw new Refusal('key-needed', 'live samples are taken from stations with a key: ask the team for one');
    },
    handler: async () => {
      throw new Refusal('upgrade-needed', 'samples go over a WebSocket: connect to this address with ws: or wss:');
    },
    wsHandler: (socket, { caller }) => hub.connect(socket, caller),
  });
}
