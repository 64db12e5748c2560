import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, onTestFinished, test } from 'vitest';
import { serve } from '../../server/serve.ts';
import { temporaryDirectory } from './support/directory.ts';

const options = { host: '127.0.0.1', port: 0, demo: false, open: false };

describe('listening', () => {
  test('beyond this machine needs an explicit word', async () => {
    const dataDir = await temporaryDirectory();
    for (const host of ['0.0.0.0', '::', '192.0.2.7', 'example.test']) {
      await expect(serve({ ...options, host, dataDir })).rejects.toMatchObject({ code: 'not-open' });
    }
    expect(readdirSync(dataDir)).toEqual([]);
    const server = await serve({ ...options, host: '0.0.0.0', open: true, dataDir });
    await server.close();
  });

  test('on a port that is taken is refused, and the data are given free', async () => {
    const first = await serve({ ...options, dataDir: await temporaryDirectory() });
    onTestFinished(() => first.close());
    const dataDir = await temporaryDirectory();
    const port = Number(new URL(first.url).port);
    await expect(serve({ ...options, port, dataDir })).rejects.toMatchObject({ code: 'port-in-use' });
    const second = await serve({ ...options, dataDir });
    await second.close();
  });
});

interface ServerProcess {
  readonly process: ChildProcess;
  readonly url: string;
  readonly headers: { authorization: string };
}

/** A server of its own process, as it is built. */
async function start(dataDir: string): Promise<ServerProcess> {
  const script = fileURLToPath(new URL('support/server-process.mjs', import.meta.url));
  const { FIVEUNIT_TEAM_KEY: _, ...env } = process.env;
  const child = spawn(process.execPath, [script, dataDir], { stdio: ['ignore', 'pipe', 'inherit'], env });
  onTestFinished(() => void child.kill('SIGKILL'));
  const [line] = await once(child.stdout, 'data');
  const { url, teamKeyPath } = JSON.parse(String(line));
  const headers = { authorization: `Bearer ${readFileSync(teamKeyPath, 'utf8').trim()}` };
  return { process: child, url, headers };
}

const samples = fileURLToPath(new URL('../../samples/', import.meta.url));

async function ask({ url, headers }: ServerProcess, path: string, init: RequestInit = {}) {
  const response = await fetch(url + path, { ...init, headers: { ...headers, ...init.headers } });
  return JSON.parse(await response.text());
}

async function hand(server: ServerProcess, name: string) {
  const body = new FormData();
  body.set('mission', 'any');
  body.set('station', 'Q1LARK');
  body.set('startedAt', '2026-01-02T03:04:05Z');
  body.set('file', new Blob([readFileSync(join(samples, name))]), name);
  return ask(server, '/api/recordings', { method: 'POST', body });
}

async function decoded(server: ServerProcess) {
  const { recordings } = await ask(server, '/api/recordings');
  return recordings.map(({ status, fileName, frames }: Record<string, unknown>) => ({ status, fileName, frames }));
}

test('a killed server goes on where it was: nothing twice, nothing lost', async () => {
  const dataDir = await temporaryDirectory();
  const first = await start(dataDir);
  const definition = readFileSync(join(samples, 'dunlin-1.json'), 'utf8');
  const saved = await ask(first, '/api/missions/dunlin-1', {
    method: 'PUT',
    headers: { 'content-type': 'application/json' },
    body: definition,
  });
  expect(saved).toMatchObject({ id: 'dunlin-1', version: 1 });
  const names = ['dunlin-three.wav', 'dunlin-power.wav', 'plain-text.wav'];
  for (const name of names) expect(await hand(first, name)).toMatchObject({ id: expect.stringMatching(/^r/) });
  first.process.kill('SIGKILL');
  await once(first.process, 'exit');

  const second = await start(dataDir);
  const done = names.map((fileName) => ({ status: 'decoded', fileName, frames: framesIn(fileName) })).reverse();
  await expect.poll(() => decoded(second), { timeout: 50_000, interval: 250 }).toEqual(done);
  const { frames } = await ask(second, '/api/missions/dunlin-1/frames');
  const texts = frames.map(({ text }: { text: string }) => text);
  expect(new Set(texts).size).toBe(framesIn('dunlin-three.wav') + framesIn('dunlin-power.wav'));
  expect(texts).toHaveLength(new Set(texts).size);
  second.process.kill('SIGTERM');
  expect(await once(second.process, 'exit')).toEqual([0, null]);
});

/** As the sample says of itself. */
function framesIn(name: string): number {
  const { expected } = JSON.parse(readFileSync(join(samples, name.replace('.wav', '.expected.json')), 'utf8'));
  return expected.frames?.length ?? 0;
}
