import { mkdir } from 'node:fs/promises';
import { createServer } from 'node:https';
import { join } from 'node:path';
import fastifyMultipart from '@fastify/multipart';
import fastifyWebsocket from '@fastify/websocket';
import Fastify, { type FastifyError, type FastifyServerFactory } from 'fastify';
import { bearerKey, callerWith, NOBODY } from './access/caller.ts';
import { LIVE_PROTOCOL, subprotocolKey } from './access/live-key.ts';
import type { App } from './http/app-types.ts';
import { answerClientError } from './http/client-errors.ts';
import { LiveHub } from './http/live-hub.ts';
import { RequestCounts } from './http/metrics.ts';
import { describeRoutes } from './http/openapi.ts';
import { refuseForeignOrigins } from './http/origins.ts';
import { servePages } from './http/pages.ts';
import { refusalOf, sendRefusal } from './http/problems.ts';
import { limitRates } from './http/rate-limits.ts';
import { burstRoutes } from './http/routes/bursts.ts';
import { frameRoutes } from './http/routes/frames.ts';
import { listenRoutes } from './http/routes/listen.ts';
import { liveRoutes } from './http/routes/live.ts';
import { missionRoutes } from './http/routes/missions.ts';
import { nowRoutes } from './http/routes/now.ts';
import { readingRoutes } from './http/routes/readings.ts';
import { recordingRoutes } from './http/routes/recordings.ts';
import { serviceRoutes } from './http/routes/service.ts';
import { settingRoutes } from './http/routes/settings.ts';
import { soundRoutes } from './http/routes/sounds.ts';
import { stationRoutes } from './http/routes/stations.ts';
import { secureHeaders } from './http/security.ts';
import { validatorCompiler } from './http/validation.ts';
import type { DecodeRunner } from './jobs/decode-runner.ts';
import { openDecodeThreads } from './jobs/decode-threads.ts';
import { JobRunner } from './jobs/job-runner.ts';
import { KeyedLock } from './keyed-lock.ts';
import { findTeamKey } from './keys/team-key.ts';
import { DEFAULT_LIMITS, type Limits } from './limits.ts';
import { ListenHub } from './listen/hub.ts';
import type { StreamRunner } from './listen/stream-runner.ts';
import { openThreadStreams } from './listen/thread-streams.ts';
import { openCatalog } from './missions/catalog.ts';
import { packageRoot, packageVersion } from './package-root.ts';
import { Refusal } from './refusal.ts';
import type { Services } from './services.ts';
import type { SoundCutter } from './sound/cutter.ts';
import { openThreadCutter } from './sound/thread-cutter.ts';
import { openRecordingFiles } from './store/files.ts';
import { openListeningCopies } from './store/listening-copies.ts';
import { lockData } from './store/lock.ts';
import { openDataStore } from './store/sqlite/open.ts';
import type { Clock } from './time.ts';
import type { Tls } from './tls.ts';
import type { Combiner } from './transmissions/combiner.ts';
import { openThreadCombiner } from './transmissions/thread-combiner.ts';

export interface AppOptions {
  /** Holds the database, the recordings and the team's key; made as needed. */
  readonly dataDir: string;
  readonly environment?: NodeJS.ProcessEnv;
  readonly limits?: Partial<Limits>;
  /** Where recordings are decoded; without it in threads. */
  readonly decoding?: DecodeRunner;
  /** Where stations' live streams are decoded; without it in threads. */
  readonly streams?: StreamRunner;
  /** Where the copies of a transmission are combined; without it in a thread. */
  readonly combiner?: Combiner;
  /** Where sound is cut out of recordings; without it in a thread. */
  readonly cutter?: SoundCutter;
  /** The built pages. */
  readonly webDir?: string;
  readonly network?: NetworkOptions;
  readonly clock?: Clock;
  /** Told of what should not have happened; without it standard error. */
  readonly complain?: (error: unknown, doing: string) => void;
}

/** How the server is reached. */
export interface NetworkOptions {
  /** To speak HTTPS; without it plain HTTP. */
  readonly tls?: Tls;
  /** As people reach it, when that is not what their requests say: `https://wren.example`. */
  readonly publicUrl?: string;
  /** Proxies whose word on caller and address counts: IP addresses, ranges and `loopback`, with commas between. */
  readonly trustProxy?: string;
}

/** The longest message of a socket: a second or two of samples. */
const MESSAGE_BYTES_MAX = 2 ** 18;

/** A server that does not listen yet. */
export interface BuiltApp {
  readonly app: App;
  readonly services: Services;
  readonly jobs: JobRunner;
  /** Starts what waits, and tells pages: call it after changing the store from outside the routes. */
  readonly changed: () => void;
}

/**
 * Opens the data and builds the application; `app.close()` gives everything back. Throws `FiveunitError` when the data
 * are in use, were written by a newer version, or the team's key is too short.
 */
export async function buildApp(options: AppOptions): Promise<BuiltApp> {
  const { dataDir, clock = Date.now, complain = complainAloud } = options;
  await mkdir(dataDir, { recursive: true });
  const lock = lockData(dataDir);
  try {
    const store = openDataStore(dataDir);
    await store.releaseAllJobs();
    const services: Services = {
      store,
      files: await openRecordingFiles(dataDir),
      copies: await openListeningCopies(dataDir),
      catalog: openCatalog(store),
      decoding: options.decoding ?? openDecodeThreads(),
      combiner: options.combiner ?? openThreadCombiner(),
      cutter: options.cutter ?? openThreadCutter(),
      teamKey: await findTeamKey(dataDir, options.environment),
      limits: { ...DEFAULT_LIMITS, ...options.limits },
      clock,
      locks: new KeyedLock(),
      complain,
    };
    const live = new LiveHub(services);
    const jobs = new JobRunner(services, {
      onChange: () => live.wake(),
      onProgress: (recording, progress) => live.progress(recording, progress),
    });
    const changed = () => {
      live.wake();
      jobs.wake();
    };
    const { webDir = join(packageRoot(), 'dist', 'web'), network = {} } = options;
    const listening = new ListenHub(services, options.streams ?? openThreadStreams(), changed);
    const app = await buildHttp(services, live, listening, jobs, changed, webDir, network);
    app.addHook('onClose', async () => {
      await jobs.stop();
      await services.decoding.close();
      await services.combiner.close();
      await services.cutter.close();
      await store.close();
      lock.release();
    });
    app.addHook('onReady', async () => jobs.wake());
    return { app, services, jobs, changed };
  } catch (error) {
    lock.release();
    throw error;
  }
}

async function buildHttp(
  services: Services,
  live: LiveHub,
  listening: ListenHub,
  jobs: JobRunner,
  changed: () => void,
  webDir: string,
  { tls, publicUrl, trustProxy }: NetworkOptions,
): Promise<App> {
  const { store, teamKey, limits, complain } = services;
  const version = packageVersion();
  const requests = new RequestCounts();
  const app: App = Fastify({
    bodyLimit: limits.bodyBytes,
    routerOptions: { maxParamLength: 100 },
    clientErrorHandler: answerClientError,
    trustProxy: trustProxy ?? false,
    ...(tls === undefined ? {} : { serverFactory: overTls(tls) }),
    // An address that no router reads; everything else comes to the error handler.
    frameworkErrors: (error, _request, reply) => {
      sendRefusal(reply, new Refusal('request-malformed', error.message));
    },
  });
  app.removeContentTypeParser('text/plain');
  app.setValidatorCompiler(validatorCompiler);
  // Answers are typed by their schemas; writing them by schema would bend them to fit.
  app.setSerializerCompiler(() => JSON.stringify);
  app.setErrorHandler<FastifyError>((error, request, reply) =>
    sendRefusal(reply, refusalOf(error, request, limits, complain)),
  );

  app.decorateRequest('caller');
  app.decorateRequest('keyRefusal');
  app.addHook('onRequest', async (request) => {
    try {
      const key = bearerKey(request.headers.authorization) ?? subprotocolKey(request.headers['sec-websocket-protocol']);
      request.caller = await callerWith(key, teamKey, store);
    } catch (error) {
      request.caller = NOBODY;
      request.keyRefusal = error;
    }
  });
  app.addHook('onResponse', async (_request, reply) => requests.count(reply.statusCode));

  await secureHeaders(app);
  await limitRates(app, limits);
  // Only after the rate was counted: whoever tries keys is slowed down.
  app.addHook('preParsing', async ({ keyRefusal }) => {
    if (keyRefusal !== undefined) throw keyRefusal;
  });
  refuseForeignOrigins(app, publicUrl ?? null);
  await describeRoutes(app, version);
  await app.register(fastifyMultipart, { throwFileSizeLimit: false });
  await app.register(fastifyWebsocket, {
    preClose: (done) => {
      Promise.all([live.close(), listening.close()]).finally(() => {
        app.websocketServer.close();
        done();
      });
    },
    options: {
      maxPayload: MESSAGE_BYTES_MAX,
      handleProtocols: (protocols) => (protocols.has(LIVE_PROTOCOL) ? LIVE_PROTOCOL : false),
    },
  });
  await app.register(async (routes: App) => {
    serviceRoutes(routes, services, { live, requests, version });
    missionRoutes(routes, services, changed);
    recordingRoutes(routes, services, jobs, changed);
    burstRoutes(routes, services, changed);
    soundRoutes(routes, services);
    frameRoutes(routes, services, changed);
    readingRoutes(routes, services);
    nowRoutes(routes, services);
    stationRoutes(routes, services);
    settingRoutes(routes, services, publicUrl ?? null);
    liveRoutes(routes, services, live);
    listenRoutes(routes, listening);
  });
  await servePages(app, webDir);
  return app;
}

function overTls({ cert, key }: Tls): FastifyServerFactory {
  return (handler) => createServer({ cert, key }, handler);
}

function complainAloud(error: unknown, doing: string): void {
  const what = error instanceof Error ? (error.stack ?? error.message) : String(error);
  process.stderr.write(`fiveunit: a fault while ${doing}: ${what}\n`);
}
