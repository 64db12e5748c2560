import { expect, test } from 'vitest';
import { putWren, stationKey, TEAM, testApp, upload } from '../../support/app.ts';
import { fakeRecording } from '../../support/fake-decoding.ts';
import { powerFrame } from '../../support/wren.ts';

test('a station is added, seen with what it heard, and revoked', async () => {
  const built = await testApp();
  const { app } = built;
  await putWren(built);
  const lark = await stationKey(built, 'q1lark');
  const frame = powerFrame();
  await upload(built, fakeRecording({ bursts: [{ text: frame.text, frames: [frame] }] }), {}, lark);
  await built.jobs.idle();
  const list = await app.inject({ url: '/api/stations' });
  expect(list.json().stations).toEqual([
    {
      callSign: 'Q1LARK',
      addedAt: '2031-05-04T09:00:00.000Z',
      revokedAt: null,
      lastHeard: '2031-05-04T08:50:02.000Z',
      frames: 1,
      recordings: 1,
    },
  ]);
  expect((await app.inject({ method: 'DELETE', url: '/api/stations/Q1LARK', headers: TEAM })).statusCode).toBe(204);
  expect((await upload(built, fakeRecording(), {}, lark)).json()).toMatchObject({ status: 401, code: 'key-unknown' });
  expect((await app.inject({ method: 'DELETE', url: '/api/stations/Q1LARK', headers: TEAM })).json().code).toBe(
    'station-unknown',
  );
});

test('a new key voids the old one', async () => {
  const built = await testApp();
  const old = await stationKey(built, 'Q1LARK');
  const fresh = await stationKey(built, 'Q1LARK');
  const you = async (headers: Record<string, string>) =>
    (await built.app.inject({ url: '/api/settings', headers })).json().you ?? 'refused';
  expect([await you(old), await you(fresh), await you(TEAM), await you({})]).toEqual([
    'refused',
    'station',
    'team',
    'nobody',
  ]);
});

test('only the team adds and revokes', async () => {
  const built = await testApp();
  const lark = await stationKey(built, 'Q1LARK');
  for (const headers of [{}, lark]) {
    const add = { method: 'POST', url: '/api/stations', headers, payload: { callSign: 'Q2' } } as const;
    expect((await built.app.inject(add)).statusCode).toBeGreaterThanOrEqual(401);
    const revoke = { method: 'DELETE', url: '/api/stations/Q1LARK', headers } as const;
    expect((await built.app.inject(revoke)).statusCode).toBeGreaterThanOrEqual(401);
  }
  for (const payload of [{}, { callSign: 5 }, { callSign: '<b>' }, { callSign: 'Q2', key: 'mine' }]) {
    const response = await built.app.inject({ method: 'POST', url: '/api/stations', headers: TEAM, payload });
    expect(response.json().code).toBe('request-malformed');
  }
});

test('keys are stored as hashes', async () => {
  const built = await testApp();
  const { authorization } = await stationKey(built, 'Q1LARK');
  const { readFileSync, readdirSync } = await import('node:fs');
  for (const file of readdirSync(built.dataDir).filter((name) => name.startsWith('fiveunit.db'))) {
    expect(readFileSync(`${built.dataDir}/${file}`).includes(authorization.slice(7))).toBe(false);
  }
});
