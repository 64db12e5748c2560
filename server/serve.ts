import type { Server } from 'node:https';
import { resolve } from 'node:path';
import { FiveunitError } from '../decoders/errors.ts';
import { buildApp, type NetworkOptions } from './app.ts';
import type { Services } from './services.ts';
import { readTls, type TlsFiles } from './tls.ts';

export interface ServeOptions {
  readonly host: string;
  /** 0 for any that is free. */
  readonly port: number;
  readonly dataDir: string;
  /** Fills the store with the invented mission, unless that was done before. */
  readonly demo: boolean;
  /** Needed to listen where other machines can reach it. */
  readonly open: boolean;
  /** To speak HTTPS, which browsers ask for before they give a page the microphone. */
  readonly tls?: TlsFiles;
  readonly publicUrl?: string;
  readonly trustProxy?: string;
}

export interface RunningServer {
  /** Where to look, for instance `http://127.0.0.1:8080`. */
  readonly url: string;
  /** File that holds the team's key; null when it came from the environment. */
  readonly teamKeyPath: string | null;
  /** Reads certificate and key anew, for connections from now on. Rejects with `FiveunitError`, and the old ones stay. */
  renewTls(): Promise<void>;
  /** Lets requests finish, puts unfinished jobs back, and gives the data free. */
  close(): Promise<void>;
}

const LOOPBACK = /^(localhost|127(\.\d{1,3}){3}|::1)$/;
/** An upload that is still running then is cut off; its sender sends it again. */
const PATIENCE_MILLISECONDS = 10_000;

/** Starts the server. Throws `FiveunitError` saying what to do. */
export async function serve(options: ServeOptions): Promise<RunningServer> {
  const { host, port, demo, open } = options;
  if (!open && !LOOPBACK.test(host)) {
    throw new FiveunitError(
      'not-open',
      `${host} can be reached by other machines, and anyone there may read and send: say --open if that is meant`,
    );
  }
  const network = await networkOf(options);
  const { app, services, changed } = await buildApp({ dataDir: resolve(options.dataDir), network });
  try {
    const listening = await app.listen({ host, port });
    const url = network.tls === undefined ? listening : listening.replace(/^http:/, 'https:');
    const filling = demo ? startDemo(services, changed) : null;
    return {
      url,
      teamKeyPath: services.teamKey.path,
      async renewTls() {
        const { tls } = await networkOf(options);
        if (tls !== undefined && isTlsServer(app.server)) app.server.setSecureContext(tls);
      },
      async close() {
        await filling?.stop();
        const impatience = setTimeout(() => app.server.closeAllConnections(), PATIENCE_MILLISECONDS);
        await app.close();
        clearTimeout(impatience);
      },
    };
  } catch (error) {
    await app.close();
    throw listenError(error, host, port);
  }
}

async function networkOf({ tls, publicUrl, trustProxy }: ServeOptions): Promise<NetworkOptions> {
  return {
    ...(tls === undefined ? {} : { tls: await readTls(tls, new Date()) }),
    ...(publicUrl === undefined ? {} : { publicUrl }),
    ...(trustProxy === undefined ? {} : { trustProxy }),
  };
}

function isTlsServer(server: object): server is Server {
  return 'setSecureContext' in server;
}

/** Fills in the demo behind the open server: pages show it growing. */
function startDemo(services: Services, changed: () => void): { stop(): Promise<void> } {
  const stopping = new Error('the server is stopping');
  let stopped = false;
  const done = import('./demo/fill.ts')
    .then(({ fillDemo }) =>
      fillDemo(services, () => {
        if (stopped) throw stopping;
        changed();
      }),
    )
    .then(changed)
    .catch((error: unknown) => {
      if (error !== stopping) services.complain(error, 'filling in the demo');
    });
  return {
    async stop() {
      stopped = true;
      await done;
    },
  };
}

function listenError(error: unknown, host: string, port: number): unknown {
  const code = error instanceof Error && 'code' in error ? error.code : null;
  if (code === 'EADDRINUSE') {
    return new FiveunitError('port-in-use', `port ${port} of ${host} is in use: give another with --port`, {
      cause: error,
    });
  }
  if (code === 'EACCES') {
    return new FiveunitError('port-refused', `port ${port} may not be used by this user: give one above 1023`, {
      cause: error,
    });
  }
  if (code === 'EADDRNOTAVAIL' || code === 'ENOTFOUND') {
    return new FiveunitError('host-unknown', `${host} is no address of this machine: give another with --host`, {
      cause: error,
    });
  }
  return error;
}
