import type { TimeBase } from '../../../decoders/audio/time-gaps.ts';
import { FiveunitError } from '../../../decoders/errors.ts';
import type { BandFields } from '../band-options.ts';
import { CommandError, exitCode } from '../exit.ts';
import { pieces } from '../inputs.ts';
import type { Io } from '../io.ts';
import { objectOf } from './object-of.ts';
import { sentFile } from './sent-file.ts';
import type { Surveyed } from './survey.ts';

/** What a server says of one of its recordings. */
export interface KnownRecording {
  readonly id: string;
  readonly status: string;
  readonly mission: string;
  readonly startedAt: string | null;
  readonly startedAtSource: string | null;
  readonly frames: number;
}

export interface ServerFacts {
  /** `nobody`, `station` or `team`: whose key it is. */
  readonly you: string;
  /** Call sign of the station whose key it is. */
  readonly station: string | null;
  readonly recordingBytes: number;
}

export interface SendFields extends BandFields {
  readonly mission: string;
  readonly station: string;
  readonly startedAt?: string;
  readonly timeAccuracySeconds?: number;
  readonly timeBase?: TimeBase;
  readonly phase?: string;
}

export interface CutOutSendFields extends SendFields {
  readonly startedAtSource?: string;
}

/** A request that was not granted, or did not get through. */
export class SendError extends FiveunitError {
  /** Whether the same may be granted later. */
  readonly passing: boolean;
  readonly retryAfterSeconds: number | null;
  readonly status: number | null;
  constructor(code: string, message: string, facts: { passing: boolean; retryAfterSeconds?: number; status?: number }) {
    super(code, message);
    this.name = 'SendError';
    this.passing = facts.passing;
    this.retryAfterSeconds = facts.retryAfterSeconds ?? null;
    this.status = facts.status ?? null;
  }
}

/** So long an answer may take; the bytes of a recording come before it and take what they take. */
const ANSWER_MILLISECONDS = 30_000;
const PASSING = [408, 425, 429, 500, 502, 503, 504];

/** A Fiveunit server as one who sends recordings sees it. */
export class ServerClient {
  readonly #base: URL;
  readonly #key: string | null;

  /** @throws CommandError when the address is none. */
  constructor(address: string, key: string | null) {
    const base = URL.canParse(address) ? new URL(address) : null;
    if (base === null || !['http:', 'https:'].includes(base.protocol)) {
      throw new CommandError('bad-address', `--to ${address}: give the server's address, as https://example.org`);
    }
    if (!base.pathname.endsWith('/')) base.pathname += '/';
    this.#base = base;
    this.#key = key;
  }

  get address(): URL {
    return this.#base;
  }

  async facts(): Promise<ServerFacts> {
    const { you, station = null, limits } = objectOf(await this.#get('api/settings'));
    const { recordingBytes } = objectOf(limits);
    return {
      you: String(you),
      station: typeof station === 'string' ? station : null,
      recordingBytes: typeof recordingBytes === 'number' ? recordingBytes : Number.POSITIVE_INFINITY,
    };
  }

  /** Definitions of the missions that the key may read. */
  async definitions(): Promise<unknown[]> {
    const { missions } = objectOf(await this.#get('api/missions'));
    const ids = Array.isArray(missions) ? missions.map((mission) => String(objectOf(mission).id)) : [];
    return Promise.all(ids.map((id) => this.#get(`api/missions/${encodeURIComponent(id)}`)));
  }

  /** @throws SendError when there is no such mission, or not for this key. */
  async needMission(id: string): Promise<void> {
    await this.#get(`api/missions/${encodeURIComponent(id)}`);
  }

  /** The recording of these bytes; null when the server does not have them, or does not tell. */
  async known(sha256: string): Promise<KnownRecording | null> {
    const { recordings } = objectOf(await this.#get(`api/recordings?sha256=${sha256}`));
    if (!Array.isArray(recordings) || recordings.length === 0) return null;
    const { id, status, mission, startedAt, startedAtSource, frames } = objectOf(recordings[0]);
    const text = (value: unknown) => (typeof value === 'string' ? value : null);
    return {
      id: String(id),
      status: String(status),
      mission: String(mission),
      startedAt: text(startedAt),
      startedAtSource: text(startedAtSource),
      frames: typeof frames === 'number' ? frames : 0,
    };
  }

  /**
   * Sends a recording as a stream.
   *
   * @returns its id, and whether the server had these bytes before.
   */
  async send(
    file: Surveyed,
    fields: SendFields,
    io: Io,
    onSent: (bytes: number) => void,
  ): Promise<{ id: string; known: boolean }> {
    const { body, type } = await formOf(file, fields, io, onSent);
    const response = await this.#request('api/recordings', {
      method: 'POST',
      body,
      // Needed for a body that is a stream; the types of fetch do not know it.
      duplex: 'half',
      headers: { 'content-type': type },
    } as RequestInit);
    const { id } = objectOf(await response.json());
    return { id: String(id), known: response.status === 200 };
  }

  /**
   * Sends bursts that were cut out of a recording.
   *
   * @param reading what was read in them, as `CutOutReading` of the HTTP interface.
   * @returns the id of the cut-out, and whether the server had these bytes before.
   */
  async sendCutOut(
    flac: Uint8Array,
    name: string,
    fields: CutOutSendFields,
    reading: unknown,
  ): Promise<{ id: string; known: boolean }> {
    const form = new FormData();
    for (const [field, value] of Object.entries(fields)) form.set(field, String(value));
    form.set('reading', JSON.stringify(reading));
    form.set('file', new Blob([new Uint8Array(flac)], { type: 'audio/flac' }), name);
    const response = await this.#request('api/bursts', { method: 'POST', body: form });
    const { id } = objectOf(await response.json());
    return { id: String(id), known: response.status === 200 };
  }

  async #get(path: string): Promise<unknown> {
    const response = await this.#request(path, { signal: AbortSignal.timeout(ANSWER_MILLISECONDS) });
    return response.json().catch(() => {
      throw new SendError('no-such-server', `${this.#base.origin} does not answer as a Fiveunit server`, {
        passing: false,
      });
    });
  }

  async #request(path: string, init: RequestInit): Promise<Response> {
    const headers = new Headers(init.headers);
    headers.set('accept', 'application/json');
    if (this.#key !== null) headers.set('authorization', `Bearer ${this.#key}`);
    let response: Response;
    try {
      response = await fetch(new URL(path, this.#base), { ...init, headers, redirect: 'error' });
    } catch (error) {
      if (error instanceof CommandError) throw error;
      if (error instanceof Error && error.cause instanceof CommandError) throw error.cause;
      const cause = error instanceof Error && error.cause instanceof Error ? error.cause.message : String(error);
      throw new SendError('unreachable', `${this.#base.origin} was not reached: ${cause}`, { passing: true });
    }
    if (response.ok) return response;
    throw await refusalOf(response);
  }
}

async function refusalOf(response: Response): Promise<SendError> {
  const said = objectOf(await response.json().catch(() => ({})));
  const code = typeof said.code === 'string' ? said.code : `http-${response.status}`;
  const detail = typeof said.detail === 'string' ? said.detail : `the server answered ${response.status}`;
  const { retryAfterSeconds } = said;
  return new SendError(code, detail, {
    passing: PASSING.includes(response.status),
    status: response.status,
    ...(typeof retryAfterSeconds === 'number' ? { retryAfterSeconds } : {}),
  });
}

async function formOf(
  { path, name }: Surveyed,
  fields: SendFields,
  io: Io,
  onSent: (bytes: number) => void,
): Promise<{ body: ReadableStream<Uint8Array>; type: string }> {
  const boundary = `fiveunit-${crypto.randomUUID()}`;
  const input = await sentFile(path, io);
  const text = new TextEncoder();
  const quoted = name.replaceAll(/["\r\n]/g, (character) => encodeURIComponent(character));
  async function* parts(): AsyncGenerator<Uint8Array> {
    // Fields first: the server knows what it is getting before the bytes come.
    for (const [field, value] of Object.entries(fields)) {
      yield text.encode(`--${boundary}\r\ncontent-disposition: form-data; name="${field}"\r\n\r\n${value}\r\n`);
    }
    yield text.encode(
      `--${boundary}\r\ncontent-disposition: form-data; name="file"; filename="${quoted}"\r\n` +
        'content-type: application/octet-stream\r\n\r\n',
    );
    let sent = 0;
    for await (const piece of pieces(input)) {
      // A piece holds until the next one is asked for only.
      yield piece.slice();
      sent += piece.byteLength;
      onSent(sent);
    }
    yield text.encode(`\r\n--${boundary}--\r\n`);
  }
  return { body: ReadableStream.from(parts()), type: `multipart/form-data; boundary=${boundary}` };
}

/** A refusal that makes all else pointless: the key, the address. */
export function isHopeless({ status, code }: SendError): boolean {
  return status === 401 || status === 403 || code === 'no-such-server';
}

/** The refusal as the end of a command. */
export function asCommandError({ code, message, passing }: SendError): CommandError {
  return new CommandError(code, message, passing ? exitCode.incomplete : exitCode.refused);
}
