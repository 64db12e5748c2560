import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { createRecordingDecoder } from '../../../../decoders/recording.ts';
import { decodeFile } from '../../../../server/jobs/decode-file.ts';
import type { DecodeRunner } from '../../../../server/jobs/decode-runner.ts';
import { readAll } from '../../../decoders/audio/wav-file.ts';
import { putWren, TEAM, type TestApp, testApp, upload } from '../../support/app.ts';
import { FakeDecoding } from '../../support/fake-decoding.ts';

const sample = (name: string): Buffer => readFileSync(new URL(`../../../../samples/${name}`, import.meta.url));

/** Decodes what is really in the recordings, right here. */
class Decoding extends FakeDecoding {
  override async run(...[task, { onProgress }]: Parameters<DecodeRunner['run']>): ReturnType<DecodeRunner['run']> {
    return decodeFile(task, createRecordingDecoder, onProgress);
  }
}

interface Heard extends TestApp {
  readonly url: string;
  readonly owner: { readonly authorization: string };
}

async function decoded(file: string, change: Record<string, unknown> = {}): Promise<Heard> {
  const built = await testApp({ decoding: new Decoding() });
  const definition = { ...JSON.parse(sample('dunlin-1.json').toString('utf8')), ...change };
  await built.app.inject({ method: 'PUT', url: '/api/missions/dunlin-1', headers: TEAM, payload: definition });
  await putWren(built);
  const { id, senderKey } = (await upload(built, sample(file))).json();
  await built.jobs.idle();
  return { ...built, url: `/api/recordings/${id}`, owner: { authorization: `Bearer ${senderKey}` } };
}

test('everyone hears the burst that holds a frame, and a second around it', async () => {
  const { app, url } = await decoded('dunlin-power.wav');
  const [burst] = (await app.inject({ url: `${url}/bursts` })).json().bursts;
  const { startSeconds, endSeconds } = burst.audible;
  expect(startSeconds).toBeLessThanOrEqual(burst.startSeconds);
  expect(startSeconds).toBeGreaterThanOrEqual(burst.startSeconds - 1);
  const answer = await app.inject({ url: `${url}/bursts/0/audio` });
  expect(answer.statusCode).toBe(200);
  expect(answer.headers).toMatchObject({ 'content-type': 'audio/wav', 'cache-control': 'private, max-age=3600' });
  const { info, channels } = readAll(answer.rawPayload);
  expect(info).toMatchObject({ sampleRateHz: 8000, channels: 1, startedAt: null });
  expect(channels[0].length / 8000).toBeCloseTo(endSeconds - startSeconds, 3);

  const etag = answer.headers.etag ?? '';
  const again = await app.inject({ url: `${url}/bursts/0/audio`, headers: { 'if-none-match': String(etag) } });
  expect([again.statusCode, again.body]).toEqual([304, '']);
  expect((await app.inject({ url: `${url}/bursts/7/audio` })).json()).toMatchObject({
    status: 404,
    code: 'burst-unknown',
  });
});

test('text that fits no layout is heard by its sender and the team only', async () => {
  const { app, url, owner } = await decoded('plain-text.wav');
  const bursts = async (headers = {}) => (await app.inject({ url: `${url}/bursts`, headers })).json().bursts;
  expect((await bursts())[0].audible).toBeNull();
  expect((await app.inject({ url: `${url}/bursts/0/audio` })).json()).toMatchObject({
    status: 401,
    code: 'key-needed',
  });
  expect((await bursts(owner))[0].audible).not.toBeNull();
  for (const headers of [owner, TEAM]) {
    expect((await app.inject({ url: `${url}/bursts/0/audio`, headers })).statusCode).toBe(200);
  }
});

test('frames of a private mission are not heard without a key', async () => {
  const { app, url } = await decoded('dunlin-power.wav', { private: true });
  expect((await app.inject({ url: `${url}/bursts` })).json().bursts[0].audible).toBeNull();
  expect((await app.inject({ url: `${url}/bursts/0/audio` })).json().code).toBe('key-needed');
  expect((await app.inject({ url: `${url}/bursts/0/audio`, headers: TEAM })).statusCode).toBe(200);
});

test('any stretch is heard by its sender and the team, within limits', async () => {
  const { app, url, owner } = await decoded('dunlin-power.wav');
  const stretch = (query: string, headers: Record<string, string> = owner) =>
    app.inject({ url: `${url}/stretch?${query}`, headers });
  const whole = await stretch('from=0.5&to=1.5');
  expect(readAll(whole.rawPayload).channels[0]).toHaveLength(8000);
  const pieces = await stretch('from=0&to=8&pieces=10');
  expect(readAll(pieces.rawPayload).channels[0]).toHaveLength(10 * 512);
  expect((await stretch('from=0&to=1', TEAM)).statusCode).toBe(200);
  expect((await stretch('from=0&to=1', {})).json().code).toBe('key-needed');
  for (const query of [
    'from=2&to=1',
    'from=0&to=121',
    'from=0&to=1&pieces=100',
    'from=-1&to=1',
    'from=a&to=1',
    'from=0',
  ]) {
    expect((await stretch(query)).json().code, query).toBe('request-malformed');
  }
});

test('its sender and the team get the recording as it was sent, in whole and in part', async () => {
  const file = sample('dunlin-power.wav');
  const { app, url, owner } = await decoded('dunlin-power.wav');
  const get = (range: string | null, headers: Record<string, string> = owner) =>
    app.inject({ url: `${url}/audio`, headers: range === null ? headers : { ...headers, range } });
  const whole = await get(null, TEAM);
  expect(whole.statusCode).toBe(200);
  expect(whole.headers).toMatchObject({
    'accept-ranges': 'bytes',
    'content-length': String(file.length),
    'content-disposition': "attachment; filename*=UTF-8''pass.wav",
  });
  expect(whole.rawPayload.equals(file)).toBe(true);
  const part = await get('bytes=100-299');
  expect(part.statusCode).toBe(206);
  expect(part.headers['content-range']).toBe(`bytes 100-299/${file.length}`);
  expect(part.rawPayload.equals(file.subarray(100, 300))).toBe(true);
  const beyond = await get(`bytes=${file.length}-`);
  expect(beyond.json()).toMatchObject({ status: 416, code: 'range-impossible' });
  expect(beyond.headers['content-range']).toBe(`bytes */${file.length}`);
  expect((await get(null, {})).json().code).toBe('key-needed');
});

test('nothing is heard of what is not decoded, or no recording', async () => {
  const built = await testApp();
  const { id } = (await upload(built, Buffer.from('no recording'))).json();
  await built.jobs.idle();
  const answer = await built.app.inject({ url: `/api/recordings/${id}/stretch?from=0&to=1`, headers: TEAM });
  expect(answer.json()).toMatchObject({ status: 409, code: 'recording-not-decoded' });
});
