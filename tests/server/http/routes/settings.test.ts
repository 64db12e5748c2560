import { expect, test } from 'vitest';
import { stationKey, TEAM, testApp } from '../../support/app.ts';

test('settings are read by all and changed by the team', async () => {
  const built = await testApp({ limits: { recordingBytes: 1000 } });
  const put = (payload: object, headers: Record<string, string>) =>
    built.app.inject({ method: 'PUT', url: '/api/settings', payload, headers });
  const lark = await stationKey(built, 'Q1LARK');
  expect((await put({ title: 'Wren' }, {})).statusCode).toBe(401);
  expect((await put({ title: 'Wren' }, lark)).statusCode).toBe(403);
  expect((await put({ title: 'Wren team' }, TEAM)).json()).toMatchObject({
    title: 'Wren team',
    unvouchedUploads: true,
  });
  expect((await built.app.inject({ url: '/api/settings' })).json()).toMatchObject({
    title: 'Wren team',
    limits: { recordingBytes: 1000 },
    you: 'nobody',
  });
  for (const payload of [
    {},
    { title: '' },
    { title: 7 },
    { unvouchedUploads: 'no' },
    { unvouchedUploads: null },
    { x: 1 },
  ]) {
    expect((await put(payload, TEAM)).json().code).toBe('request-malformed');
  }
});
