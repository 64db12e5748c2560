import { mkdir, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { REFUSALS } from '../../server/refusal.ts';
import { putWren, stationKey, TEAM, testApp, upload } from './support/app.ts';
import { temporaryDirectory } from './support/directory.ts';
import { fakeRecording } from './support/fake-decoding.ts';
import { powerText } from './support/wren.ts';

describe('pages', () => {
  async function withPages() {
    const webDir = await temporaryDirectory();
    await mkdir(join(webDir, 'assets'));
    await writeFile(join(webDir, 'index.html'), '<!doctype html><title>pages</title>');
    await writeFile(join(webDir, 'assets', 'main-1a2b.js'), 'export {};');
    return testApp({ webDir });
  }

  test('have one document for every address of theirs, which browsers ask for anew', async () => {
    const { app } = await withPages();
    for (const url of ['/', '/trends', '/recordings/r5?at=3', '/missions/wren-1']) {
      const response = await app.inject({ url });
      expect([url, response.statusCode, response.body]).toEqual([url, 200, '<!doctype html><title>pages</title>']);
      expect(response.headers['content-type']).toContain('text/html');
      expect(response.headers['cache-control']).toBe('no-cache');
    }
  });

  test('have files that browsers keep', async () => {
    const { app } = await withPages();
    const script = await app.inject({ url: '/assets/main-1a2b.js' });
    expect(script.headers['cache-control']).toBe('public, max-age=31536000, immutable');
    expect(script.headers['content-type']).toContain('javascript');
  });

  test('do not hide that something is not there', async () => {
    const { app } = await withPages();
    for (const url of ['/api', '/api/nothing', '/assets/old.js', '/metrics/x', '/favicon.ico']) {
      expect((await app.inject({ url })).json(), url).toMatchObject({ status: 404, code: 'address-unknown' });
    }
    expect((await app.inject({ method: 'POST', url: '/trends' })).json().code).toBe('address-unknown');
  });

  test('lead nowhere outside their directory', async () => {
    const { app } = await withPages();
    for (const url of [
      '/../app.ts',
      '/..%2f..%2fetc/passwd',
      '/assets/..%2f..%2fteam-key',
      '/%2e%2e/%2e%2e/etc/passwd',
    ]) {
      const { body } = await app.inject({ url });
      expect(body).toMatch(/<title>pages<\/title>|"code":/);
    }
  });

  test('that are not built are said to be so, with what to do', async () => {
    const { app } = await testApp({ webDir: await temporaryDirectory() });
    const response = await app.inject({ url: '/' });
    expect(response.statusCode).toBe(503);
    expect(response.body).toContain('npm run build');
  });
});

describe('headers', () => {
  test('keep pages to this server, and plain HTTP possible', async () => {
    const { app } = await testApp();
    const { headers } = await app.inject({ url: '/healthz' });
    const policy = String(headers['content-security-policy']);
    expect(policy).toContain("default-src 'self'");
    expect(policy).toContain("worker-src 'self'");
    expect(policy).toContain("script-src 'self' 'wasm-unsafe-eval'");
    expect(policy).not.toContain('upgrade-insecure-requests');
    expect(policy).not.toContain("'unsafe-eval'");
    expect(headers['strict-transport-security']).toBeUndefined();
    expect(headers['x-content-type-options']).toBe('nosniff');
  });
});

describe('limits of rate', () => {
  const line = { mission: 'wren-1', station: 'Q1LARK', receivedAt: null, text: powerText() };

  test('say which, and when to come back', async () => {
    const built = await testApp({ limits: { linesPerMinute: 2 } });
    await putWren(built);
    const send = (headers = {}) => built.app.inject({ method: 'POST', url: '/api/frames', payload: line, headers });
    expect([(await send()).statusCode, (await send()).statusCode]).toEqual([201, 200]);
    const refused = await send();
    expect(refused.json()).toMatchObject({ status: 429, code: 'too-many-requests', limit: 2 });
    expect(refused.json().detail).toMatch(/at most 2 lines a minute .* come again in \d+ s/);
    expect(Number(refused.headers['retry-after'])).toBe(refused.json().retryAfterSeconds);
    const lark = await stationKey(built, 'Q1LARK');
    expect((await send(lark)).statusCode).toBe(201);
    expect((await built.app.inject({ url: '/api/missions' })).statusCode).toBe(200);
  });

  test('refuse recordings before their bytes are taken', async () => {
    const built = await testApp({ limits: { recordingsPerHour: 1 } });
    expect((await upload(built, fakeRecording({ problems: ['a'] }))).statusCode).toBe(202);
    const refused = await upload(built, fakeRecording({ problems: ['b'] }));
    expect(refused.json()).toMatchObject({ status: 429, limit: 1 });
    expect(refused.json().retryAfterSeconds).toBeGreaterThan(60);
  });

  test('slow down whoever tries keys', async () => {
    const { app } = await testApp({ limits: { requestsPerMinute: 3 } });
    const statuses = [];
    for (let guess = 0; guess < 5; guess++) {
      const headers = { authorization: `Bearer guess-${guess}` };
      statuses.push((await app.inject({ url: '/api/settings', headers })).statusCode);
    }
    expect(statuses).toEqual([401, 401, 401, 429, 429]);
  });
});

describe('errors', () => {
  test('of every kind have a stable code, a title and a client or server status', () => {
    for (const [code, { status, title }] of Object.entries(REFUSALS)) {
      expect(code).toMatch(/^[a-z]+(-[a-z]+)*$/);
      expect(title.length).toBeGreaterThan(5);
      expect(status).toBeGreaterThanOrEqual(400);
    }
  });

  test('that should not have happened tell the client nothing of the inside, and the keeper all', async () => {
    const built = await testApp();
    built.services.store.missions = async () => {
      throw new Error('secret of the inside');
    };
    const response = await built.app.inject({ url: '/api/missions' });
    expect(response.json()).toMatchObject({ status: 500, code: 'internal', type: '/problems/internal' });
    expect(response.body).not.toContain('secret');
    expect(built.complaints).toEqual(['GET /api/missions: secret of the inside']);
  });

  test('in how a key is sent are told apart from a missing key', async () => {
    const { app } = await testApp();
    for (const authorization of ['Basic dGVhbTpr', 'Bearer', 'Bearer a b', TEAM.authorization.slice(7)]) {
      const response = await app.inject({ url: '/api/settings', headers: { authorization } });
      expect(response.json()).toMatchObject({ status: 401, code: 'key-unknown', at: 'headers/authorization' });
      expect(response.headers['www-authenticate']).toBe('Bearer');
    }
  });

  test('in a body too large name the limit', async () => {
    const built = await testApp({ limits: { bodyBytes: 1000 } });
    const payload = { notes: 'x'.repeat(2000) };
    const response = await built.app.inject({ method: 'PUT', url: '/api/missions/wren-1', headers: TEAM, payload });
    expect(response.json()).toMatchObject({ status: 413, code: 'body-too-large', limit: 1000 });
  });

  test('in the address are problems too', async () => {
    const { app } = await testApp();
    for (const url of ['/api/missions/%E0%A4%A', `/api/missions/${'x'.repeat(500)}`, '/api/missions/../secret']) {
      const response = await app.inject({ url });
      expect(response.json()).toMatchObject({ status: response.statusCode, code: expect.any(String) });
      expect(response.statusCode).toBeGreaterThanOrEqual(400);
      expect(response.statusCode).toBeLessThan(500);
    }
  });

  test('in the kind of body are told', async () => {
    const { app } = await testApp();
    for (const type of ['text/plain', 'application/xml', 'application/x-www-form-urlencoded']) {
      const response = await app.inject({
        method: 'POST',
        url: '/api/frames',
        headers: { 'content-type': type },
        payload: 'x',
      });
      expect(response.json()).toMatchObject({ status: 415, code: 'media-type-unknown' });
    }
  });
});

test('the key of the team is made at first start when the environment has none', async () => {
  const built = await testApp({ environment: {} });
  const path = built.services.teamKey.path ?? '';
  const key = (await readFile(path, 'utf8')).trim();
  const headers = { authorization: `Bearer ${key}` };
  expect((await built.app.inject({ url: '/api/settings', headers })).json().you).toBe('team');
});

test('data that another server uses are refused', async () => {
  const first = await testApp();
  await expect(testApp({ dataDir: first.dataDir })).rejects.toThrow(/another server uses the data/);
  await first.app.close();
  await testApp({ dataDir: first.dataDir });
});
