import { expect, test } from 'vitest';
import { putWren, stationKey, type TestApp, testApp } from '../../support/app.ts';
import { powerText } from '../../support/wren.ts';

async function withWren() {
  const built = await testApp();
  await putWren(built);
  const lark = await stationKey(built, 'Q1LARK');
  const finch = await stationKey(built, 'Q2FINCH');
  const heard = async (minute: number, battery: number, headers: Record<string, string> = lark, station = 'Q1LARK') => {
    const receivedAt = `2031-05-04T08:${String(minute).padStart(2, '0')}:00Z`;
    const payload = { mission: 'wren-1', station, receivedAt, text: powerText({ count: minute, battery }) };
    const { statusCode } = await built.app.inject({ method: 'POST', url: '/api/frames', headers, payload });
    expect(statusCode).toBe(201);
  };
  return { ...built, heard, finch };
}

async function now({ app }: Pick<TestApp, 'app'>, query = '') {
  const answer = (await app.inject({ url: `/api/missions/wren-1/now${query}` })).json();
  const voltage = answer.parameters.find(({ parameter }: { parameter: string }) => parameter === 'battery_voltage');
  return { ...answer, voltage };
}

test('a satellite that was never heard is unknown, not well', async () => {
  const built = await withWren();
  const { state, lastHeard, voltage, concerns } = await now(built);
  expect({ state, lastHeard, concerns }).toEqual({ state: 'unknown', lastHeard: null, concerns: [] });
  expect(voltage).toMatchObject({
    last: null,
    limit: { state: 'unchecked', since: null, persistence: 2, pending: null, soft: [7, 8.3], hard: [6.6, 8.45] },
  });
});

test('the last reading comes with its age, trust, limits and station', async () => {
  const built = await withWren();
  await built.heard(10, 7900);
  await built.heard(11, 7910);
  const answer = await now(built);
  expect(answer).toMatchObject({
    mission: 'wren-1',
    name: 'Wren-1',
    callSign: 'Q0WRN',
    at: '2031-05-04T09:00:00.000Z',
    state: 'steady',
    definitionVersion: 1,
    lastHeard: {
      receivedAt: '2031-05-04T08:11:00.000Z',
      ageSeconds: 49 * 60,
      kind: 'power',
      station: 'Q1LARK',
      vouched: true,
    },
  });
  expect(answer.voltage).toMatchObject({
    unit: 'V',
    role: 'battery_voltage',
    decimals: 2,
    last: { value: 7.91, ageSeconds: 49 * 60, trust: 'probable', limit: 'normal', station: 'Q1LARK' },
    limit: { state: 'normal', since: '2031-05-04T08:11:00.000Z' },
  });
  expect(answer.parameters.map(({ parameter }: { parameter: string }) => parameter)).toEqual([
    'battery_voltage',
    'battery_current',
    'mode',
    'body_temperature',
  ]);
});

test('a limit counts after two transmissions, and copies of one are one', async () => {
  const built = await withWren();
  await built.heard(10, 7900);
  await built.heard(11, 7900);
  await built.heard(12, 6900);
  await built.heard(12, 6900, built.finch, 'Q2FINCH');
  const once = await now(built);
  expect(once.state).toBe('steady');
  expect(once.voltage.limit).toMatchObject({ state: 'normal', pending: { state: 'soft', transmissions: 1 } });
  await built.heard(13, 6900);
  const twice = await now(built);
  expect(twice).toMatchObject({ state: 'look', concerns: ['battery_voltage'] });
  expect(twice.voltage.limit).toMatchObject({ state: 'soft', since: '2031-05-04T08:13:00.000Z', pending: null });
  await built.heard(14, 6500);
  await built.heard(15, 6500);
  expect((await now(built)).state).toBe('act');
});

test('what nobody vouches for is shown, and neither raises nor clears', async () => {
  const built = await withWren();
  await built.heard(10, 7900);
  await built.heard(11, 7900);
  for (let minute = 12; minute < 16; minute++) await built.heard(minute, 5000, {});
  const { state, voltage } = await now(built);
  expect(state).toBe('steady');
  expect(voltage.last).toMatchObject({ value: 5, vouched: false, limit: 'hard' });
});

test('phases are not mixed', async () => {
  const built = await withWren();
  await built.heard(10, 7900);
  expect((await now(built, '?phase=bench')).lastHeard).toBeNull();
  expect((await built.app.inject({ url: '/api/missions/wren-1/now?phase=moon' })).statusCode).toBe(400);
});
