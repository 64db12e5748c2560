import { randomBytes } from 'node:crypto';
import type { WebSocket } from 'ws';
import { FiveunitError } from '../../decoders/errors.ts';
import type { Caller } from '../access/caller.ts';
import { vouchesFor } from '../access/rules.ts';
import { normalCallSign } from '../call-sign.ts';
import { type ListenHeader, type ListenNote, ListenRequest } from '../http/messages.ts';
import { jsonReader } from '../http/validation.ts';
import { visibleMission } from '../http/visible.ts';
import { Refusal } from '../refusal.ts';
import type { Services } from '../services.ts';
import { receptionInstant } from '../time.ts';
import { ListenSession, type SessionClaims } from './session.ts';
import type { StreamRunner } from './stream-runner.ts';

/** How long a station whose connection broke may come again and go on. */
const RESUME_MILLISECONDS = 120_000;
const SWEEP_MILLISECONDS = 10_000;
/** A connection on which nothing came for so long is asked for a sign of life, and given up when none comes in as long again. */
const SILENCE_MILLISECONDS = 30_000;
/** A header must come so soon, or nobody means to listen. */
const HEADER_MILLISECONDS = 10_000;

const POLICY = 1008;
const NORMAL = 1000;
const GOING_AWAY = 1001;

const readRequest = jsonReader(ListenRequest);

/** Stations' live streams: who may have one, and which connection feeds which. */
export class ListenHub {
  readonly #services: Services;
  readonly #streams: StreamRunner;
  readonly #changed: () => void;
  readonly #sessions = new Map<string, ListenSession>();
  readonly #sockets = new Set<WebSocket>();
  /** Those of which nothing came since they were looked at. */
  readonly #silent = new Set<WebSocket>();
  /** The one connection that feeds each session. */
  readonly #feeding = new Map<ListenSession, WebSocket>();
  readonly #sweeps: NodeJS.Timeout;
  readonly #pings: NodeJS.Timeout;

  constructor(services: Services, streams: StreamRunner, changed: () => void) {
    this.#services = services;
    this.#streams = streams;
    this.#changed = changed;
    this.#sweeps = setInterval(() => this.#sweep(), SWEEP_MILLISECONDS).unref();
    this.#pings = setInterval(() => this.#ping(), SILENCE_MILLISECONDS).unref();
  }

  /** Takes a station's connection. */
  connect(socket: WebSocket, caller: Caller): void {
    this.#sockets.add(socket);
    let session: ListenSession | null = null;
    const tell = (note: ListenNote) => {
      if (socket.readyState === socket.OPEN) socket.send(JSON.stringify(note));
    };
    const impatience = setTimeout(() => socket.close(POLICY, 'no header came'), HEADER_MILLISECONDS);
    const take = async (data: Buffer, isBinary: boolean): Promise<void> => {
      // what a connection still says after another took its place
      if (session !== null && this.#feeding.get(session) !== socket) return;
      if (isBinary) {
        if (session === null) throw new Refusal('request-malformed', 'samples came before the header');
        return session.take(data);
      }
      const request = readRequest(data.toString('utf8'));
      if (request.type === 'end') {
        if (session === null) throw new Refusal('request-malformed', '"end" came before the header');
        return session.end();
      }
      if (session !== null) throw new Refusal('request-malformed', 'a second header came: open another connection');
      clearTimeout(impatience);
      session = await this.#sessionFor(request, caller);
      this.#feed(session, socket);
      if (socket.readyState !== socket.OPEN) return this.#leave(session, socket);
      session.onNote = (note) => {
        tell(note);
        if (note.type === 'ended' || note.type === 'refused') socket.close(NORMAL);
      };
      tell({ type: 'ready', session: session.id, samples: session.received, window: session.window });
    };
    // One message after the other: samples wait for the session that their header opens.
    let taking: Promise<void> = Promise.resolve();
    for (const sign of ['message', 'ping', 'pong'] as const) socket.on(sign, () => this.#silent.delete(socket));
    socket.on('message', (data: Buffer, isBinary) => {
      taking = taking
        .then(() => take(data, isBinary))
        .catch((error: unknown) => {
          const refusal = refusalOf(error);
          if (refusal === null) this.#services.complain(error, 'listening to a station');
          const { code, message: detail, at = null } = refusal ?? { code: 'internal', message: 'the server failed' };
          tell({ type: 'refused', code, detail, at });
          socket.close(POLICY, code);
        });
    });
    socket.on('close', () => {
      clearTimeout(impatience);
      this.#sockets.delete(socket);
      this.#silent.delete(socket);
      void taking.then(() => {
        if (session !== null) this.#leave(session, socket);
      });
    });
  }

  /** Lets go of everything; what was kept stays. */
  async close(): Promise<void> {
    clearInterval(this.#sweeps);
    clearInterval(this.#pings);
    for (const socket of this.#sockets) socket.close(GOING_AWAY, 'the server is stopping');
    await Promise.all([...this.#sessions.values()].map((session) => session.stop()));
    this.#sessions.clear();
  }

  async #sessionFor(header: ListenHeader, caller: Caller): Promise<ListenSession> {
    const claims = await this.#claimsOf(header, caller);
    if (header.session !== undefined) {
      const found = this.#sessions.get(header.session);
      if (found !== undefined && !found.isEnding && found.claims.owner === claims.owner) {
        if (found.claims.rate === header.rate && found.claims.encoding === header.encoding) return found;
        throw new Refusal('request-malformed', 'rate and encoding of a session stay as they were', { at: 'header' });
      }
    }
    this.#needRoom(claims.owner);
    const id = randomBytes(18).toString('base64url');
    const over = () => {
      this.#sessions.delete(id);
      this.#feeding.delete(session);
    };
    const session = new ListenSession(id, claims, this.#services, this.#streams, this.#changed, over);
    this.#sessions.set(id, session);
    return session;
  }

  async #claimsOf(header: ListenHeader, caller: Caller): Promise<SessionClaims> {
    const { catalog, clock } = this.#services;
    const { mission, phase = 'flight', startedAt, rate, encoding } = header;
    const own = caller.kind === 'station' ? caller.callSign : null;
    const given = header.station ?? own;
    if (given === null) throw new Refusal('request-malformed', 'say which station listens', { at: 'header/station' });
    const station = normalCallSign(given);
    const current = mission === 'any' ? null : await visibleMission(this.#services, caller, mission);
    const missions = current === null ? await catalog.all() : [current];
    return {
      owner: own ?? 'team',
      station,
      vouched: vouchesFor(caller, station),
      mission: mission === 'any' ? null : mission,
      missions: missions.map((each) => each.mission),
      phase,
      startedAt: startedAt === undefined ? clock() : receptionInstant(startedAt, 'header/startedAt', clock()),
      rate,
      encoding,
    };
  }

  #needRoom(owner: string): void {
    const { listenStreams, listenStreamsPerStation } = this.#services.limits;
    const all = [...this.#sessions.values()];
    const own = all.filter(({ claims }) => claims.owner === owner).length;
    if (own >= listenStreamsPerStation) {
      throw new Refusal(
        'too-many-requests',
        `a station may have ${listenStreamsPerStation} live streams, and one that broke off counts for ${RESUME_MILLISECONDS / 1000} s`,
        { limit: listenStreamsPerStation },
      );
    }
    if (all.length >= listenStreams) {
      throw new Refusal('too-many-requests', `the server takes ${listenStreams} live streams at once: come later`, {
        limit: listenStreams,
      });
    }
  }

  /**
   * Gives a session to a connection. One that feeds it already is let go: after a cut its end of the line stands until the
   * network gives it up, long after the station has come again.
   */
  #feed(session: ListenSession, socket: WebSocket): void {
    const before = this.#feeding.get(session);
    this.#feeding.set(session, socket);
    session.leftAt = null;
    before?.close(POLICY, 'another connection took its place');
  }

  #leave(session: ListenSession, socket: WebSocket): void {
    if (this.#feeding.get(session) !== socket) return;
    this.#feeding.delete(session);
    session.onNote = null;
    session.leftAt = this.#services.clock();
  }

  /** Lets go of connections whose other end is gone without a word: their sessions would hold their places for ever. */
  #ping(): void {
    for (const socket of this.#sockets) {
      if (this.#silent.has(socket)) socket.terminate();
      else {
        this.#silent.add(socket);
        if (socket.readyState === socket.OPEN) socket.ping();
      }
    }
  }

  /** Ends sessions whose station did not come again. */
  #sweep(): void {
    const now = this.#services.clock();
    for (const session of this.#sessions.values()) {
      if (!session.isEnding && session.leftAt !== null && now - session.leftAt > RESUME_MILLISECONDS) session.end();
    }
  }
}

function refusalOf(error: unknown): { code: string; message: string; at?: string } | null {
  if (error instanceof Refusal) {
    const { code, message, facts } = error;
    return { code, message, ...(facts.at === undefined ? {} : { at: facts.at }) };
  }
  return error instanceof FiveunitError ? { code: error.code, message: error.message } : null;
}
