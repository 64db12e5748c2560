import { readFileSync } from 'node:fs';
import { isDeepStrictEqual } from 'node:util';
import type { FastifyRequest } from 'fastify';
import type { TSchema } from 'typebox';
import { Value } from 'typebox/value';
import { onTestFinished } from 'vitest';
import { combine } from '../../../decoders/frames/combine.ts';
import { type AppOptions, type BuiltApp, buildApp } from '../../../server/app.ts';
import { cutSound } from '../../../server/sound/cut-sound.ts';
import type { SoundCutter } from '../../../server/sound/cutter.ts';
import type { Combiner } from '../../../server/transmissions/combiner.ts';
import { temporaryDirectory } from './directory.ts';
import { FakeDecoding } from './fake-decoding.ts';
import { NOON } from './records.ts';

export const TEAM_KEY = 'the-team-key-of-these-tests';
export const TEAM = { authorization: `Bearer ${TEAM_KEY}` };

export interface TestApp extends BuiltApp {
  readonly dataDir: string;
  readonly decoding: FakeDecoding;
  /** What the server should not have met. */
  readonly complaints: string[];
}

/** Combines copies right here. */
const HERE: Combiner = {
  combine: async (...input) => combine(...input),
  close: async () => {},
};

/** Cuts sound right here. */
const CUT_HERE: SoundCutter = {
  cut: async (task) => cutSound(task),
  close: async () => {},
};

/** A server in an empty directory that decodes fake recordings and lives at noon. Every answer is held against its schema. */
export async function testApp(
  options: Partial<AppOptions> & { readonly decoding?: FakeDecoding } = {},
): Promise<TestApp> {
  const dataDir = options.dataDir ?? (await temporaryDirectory());
  const decoding = options.decoding ?? new FakeDecoding();
  const complaints: string[] = [];
  const built = await buildApp({
    environment: { FIVEUNIT_TEAM_KEY: TEAM_KEY },
    clock: () => NOON,
    complain: (error, doing) => complaints.push(`${doing}: ${error instanceof Error ? error.message : error}`),
    ...options,
    combiner: options.combiner ?? HERE,
    cutter: options.cutter ?? CUT_HERE,
    dataDir,
    decoding,
  });
  onTestFinished(() => built.app.close());
  built.app.addHook('preSerialization', async (request, reply, payload) => {
    holdAgainstSchema(request, reply.statusCode, payload);
    return payload;
  });
  await built.app.ready();
  return { ...built, dataDir, decoding, complaints };
}

function holdAgainstSchema(request: FastifyRequest, status: number, payload: unknown): void {
  const responses = request.routeOptions.schema?.response as Record<string, TSchema> | undefined;
  const schema = responses?.[status] ?? responses?.[`${Math.floor(status / 100)}xx`];
  if (schema === undefined || status === 500) return;
  const where = `${request.method} ${request.url} ${status}`;
  if (!Value.Check(schema, payload)) {
    throw new Error(
      `${where} answers against its schema: ${JSON.stringify([...Value.Errors(schema, payload)].slice(0, 3))}`,
    );
  }
  if (!isDeepStrictEqual(Value.Clean(schema, structuredClone(payload)), payload)) {
    throw new Error(`${where} says more than its schema: ${JSON.stringify(payload)}`);
  }
}

/** The port of a server that listens on this machine, from now on if it did not before. */
export async function portOf({ app }: Pick<TestApp, 'app'>): Promise<number> {
  if (!app.server.listening) await app.listen({ host: '127.0.0.1', port: 0 });
  const address = app.server.address();
  if (address === null || typeof address === 'string') throw new Error('the server has no port');
  return address.port;
}

/** The definition of an invented satellite with a frame for power and one for temperatures. */
export function wren(change: Record<string, unknown> = {}): Record<string, unknown> {
  return { ...JSON.parse(readFileSync(new URL('wren-1.json', import.meta.url), 'utf8')), ...change };
}

/** Stores the mission `wren-1`, or a changed one. */
export async function putWren({ app }: Pick<TestApp, 'app'>, change: Record<string, unknown> = {}): Promise<void> {
  const definition = wren(change);
  const response = await app.inject({
    method: 'PUT',
    url: `/api/missions/${definition.id}`,
    headers: TEAM,
    payload: definition,
  });
  if (response.statusCode >= 300) throw new Error(response.body);
}

/** Gives a station a key; the headers that send it. */
export async function stationKey({ app }: Pick<TestApp, 'app'>, callSign: string): Promise<{ authorization: string }> {
  const response = await app.inject({ method: 'POST', url: '/api/stations', headers: TEAM, payload: { callSign } });
  return { authorization: `Bearer ${response.json().key}` };
}

/** A form as browsers send it. */
export function form(fields: Readonly<Record<string, string>>, file?: Buffer, fileName = 'pass.wav') {
  const boundary = '----a-boundary-of-these-tests';
  const parts: Uint8Array[] = Object.entries(fields).map(([name, value]) =>
    Buffer.from(`--${boundary}\r\ncontent-disposition: form-data; name="${name}"\r\n\r\n${value}\r\n`),
  );
  if (file !== undefined) {
    const head = `--${boundary}\r\ncontent-disposition: form-data; name="file"; filename="${fileName}"\r\ncontent-type: audio/wav\r\n\r\n`;
    parts.push(Buffer.from(head), file, Buffer.from('\r\n'));
  }
  return {
    payload: Buffer.concat([...parts, Buffer.from(`--${boundary}--\r\n`)]),
    headers: { 'content-type': `multipart/form-data; boundary=${boundary}` },
  };
}

/** Hands over a recording; without an own say, for any mission, from Q1LARK, begun ten minutes before noon. */
export async function upload(
  { app }: Pick<TestApp, 'app'>,
  file: Buffer,
  fields: Readonly<Record<string, string>> = {},
  headers: Readonly<Record<string, string>> = {},
) {
  const { payload, headers: type } = form(
    { mission: 'any', station: 'q1lark', startedAt: '2031-05-04T08:50:00Z', ...fields },
    file,
  );
  return app.inject({ method: 'POST', url: '/api/recordings', payload, headers: { ...type, ...headers } });
}
