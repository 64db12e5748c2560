import { once } from 'node:events';
import { describe, expect, onTestFinished, test } from 'vitest';
import { WebSocket } from 'ws';
import { portOf, putWren, testApp } from '../support/app.ts';
import { powerText } from '../support/wren.ts';

const line = {
  mission: 'wren-1',
  station: 'Q1LARK',
  receivedAt: '2031-05-04T08:50:00Z',
  text: powerText(),
};

describe('a page of another site', () => {
  test.each([
    ['our own', { host: 'wren.example', origin: 'https://wren.example' }, 201],
    ['our own, at a port', { host: '127.0.0.1:8080', origin: 'http://127.0.0.1:8080' }, 201],
    ['our own, its usual port named by the proxy', { host: 'wren.example:80', origin: 'http://wren.example' }, 201],
    ['another', { host: 'wren.example', origin: 'https://elsewhere.example' }, 403],
    ['another port', { host: 'wren.example', origin: 'https://wren.example:8443' }, 403],
    ['none that it admits', { host: 'wren.example', origin: 'null' }, 403],
    ['a program', { host: 'wren.example' }, 201],
  ])('may not send: %s', async (_, headers, status) => {
    const built = await testApp();
    await putWren(built);
    const response = await built.app.inject({ method: 'POST', url: '/api/frames', headers, payload: line });
    expect(response.statusCode).toBe(status);
    if (status === 403) expect(response.json()).toMatchObject({ code: 'origin-refused', at: 'headers/origin' });
  });

  test('may read, as anyone may', async () => {
    const built = await testApp();
    const headers = { origin: 'https://elsewhere.example' };
    expect((await built.app.inject({ url: '/api/missions', headers })).statusCode).toBe(200);
  });

  test('may not hold a connection', async () => {
    const built = await testApp();
    const address = `127.0.0.1:${await portOf(built)}`;
    const connect = (origin: string) => {
      const socket = new WebSocket(`ws://${address}/api/live`, { origin });
      onTestFinished(() => socket.terminate());
      return socket;
    };
    const [refusal] = await once(connect('https://elsewhere.example'), 'error');
    expect(String(refusal)).toContain('403');
    await once(connect(`http://${address}`), 'open');
  });
});

describe('behind a proxy', () => {
  const proxied = { host: '127.0.0.1:8080', origin: 'https://wren.example' };
  const forwarded = { ...proxied, 'x-forwarded-host': 'wren.example', 'x-forwarded-proto': 'https' };
  const sent = async (network: object, headers: Record<string, string>) => {
    const built = await testApp({ network });
    await putWren(built);
    const { statusCode } = await built.app.inject({ method: 'POST', url: '/api/frames', headers, payload: line });
    return statusCode;
  };

  test('the public address is our own', async () => {
    expect(await sent({}, proxied)).toBe(403);
    expect(await sent({ publicUrl: 'https://wren.example' }, proxied)).toBe(201);
  });

  test('what a trusted proxy says counts, and only that', async () => {
    expect(await sent({}, forwarded)).toBe(403);
    expect(await sent({ trustProxy: 'loopback' }, forwarded)).toBe(201);
    expect(await sent({ trustProxy: '192.0.2.0/24' }, forwarded)).toBe(403);
  });

  test('callers are counted by their own addresses, which they cannot make up', async () => {
    const statuses = async (trustProxy: string | undefined, chain: (i: number) => string) => {
      const network = trustProxy === undefined ? {} : { trustProxy };
      const { app } = await testApp({ network, limits: { requestsPerMinute: 2 } });
      const codes: number[] = [];
      for (let i = 0; i < 4; i++) {
        const headers = { 'x-forwarded-for': chain(i) };
        codes.push((await app.inject({ url: '/api/missions', headers })).statusCode);
      }
      return codes;
    };
    // four callers
    expect(await statuses('loopback', (i) => `192.0.2.${i}`)).toEqual([200, 200, 200, 200]);
    expect(await statuses(undefined, (i) => `192.0.2.${i}`)).toEqual([200, 200, 429, 429]);
    // one that writes addresses before its own, which the proxy adds
    expect(await statuses('loopback', (i) => `198.51.100.${i}, 192.0.2.7`)).toEqual([200, 200, 429, 429]);
  });

  test('pages learn the public address', async () => {
    const { app } = await testApp({ network: { publicUrl: 'https://wren.example' } });
    expect((await app.inject({ url: '/api/settings' })).json()).toMatchObject({ publicUrl: 'https://wren.example' });
  });
});
