import { expect, test } from 'vitest';
import { putWren, type TestApp, testApp, upload } from '../../support/app.ts';
import { fakeRecording } from '../../support/fake-decoding.ts';
import { powerFrame } from '../../support/wren.ts';

/** A recording of a frame a minute, battery falling by 1 mV each, one of them doubtful. */
async function withHistory(): Promise<TestApp> {
  const built = await testApp();
  await putWren(built);
  const bursts = Array.from({ length: 40 }, (_, minute) => {
    const trust = minute === 7 ? ({ trust: 'doubtful', confidence: 0.2 } as const) : {};
    const frame = powerFrame({ count: minute, battery: 8000 - minute, mode: minute === 20 ? 'SAFE' : 'NOM' }, trust);
    const startSeconds = 2 + minute * 60;
    const fields =
      minute === 7 ? { ...frame.fields, battery: { raw: 1111, text: '1111', confidence: 0.3 } } : frame.fields;
    return { text: frame.text, startSeconds, frames: [{ ...frame, fields, startSeconds }] };
  });
  await upload(built, fakeRecording({ bursts }), { startedAt: '2031-05-04T08:00:00Z' });
  await built.jobs.idle();
  return built;
}

const url = '/api/missions/wren-1/readings';

test('come as columns, oldest first, each with its frame', async () => {
  const { app } = await withHistory();
  const answer = (await app.inject({ url: `${url}?parameter=battery_voltage&parameter=mode` })).json();
  expect(answer).toMatchObject({ mission: 'wren-1', from: null, to: null, phase: 'flight' });
  const [voltage, mode] = answer.series;
  expect(voltage).toMatchObject({ name: 'Battery voltage', unit: 'V', group: 'battery', decimals: 2, total: 39 });
  const { columns, bucketSeconds } = voltage;
  expect(bucketSeconds).toBeNull();
  expect(columns.value.slice(0, 2)).toEqual([8, expect.closeTo(7.999, 9)]);
  expect(columns.time[0]).toBe('2031-05-04T08:00:02.000Z');
  for (const column of Object.values(columns)) expect(column).toHaveLength(39);
  const detail = (await app.inject({ url: `/api/frames/${columns.frame[1]}` })).json();
  expect(detail.fields.battery.raw).toBe(7999);
  expect(mode.columns.value.filter((each: string) => each === 'SAFE')).toHaveLength(1);
});

test('leave doubtful ones out unless asked for', async () => {
  const { app } = await withHistory();
  const values = async (query: string) =>
    (await app.inject({ url: `${url}?parameter=battery_voltage${query}` })).json().series[0].columns;
  expect((await values('')).value).not.toContain(1.111);
  const all = await values('&trust=doubtful');
  expect(all.value[7]).toBe(1.111);
  expect(all.trust[7]).toBe('doubtful');
  expect((await values('&trust=confirmed')).value).toHaveLength(39);
  expect((await values('&vouched=true')).value).toHaveLength(0);
});

test('are thinned to about as many points as asked for, and keep the extremes', async () => {
  const { app } = await withHistory();
  const [series] = (await app.inject({ url: `${url}?parameter=battery_voltage&points=10` })).json().series;
  expect(series.total).toBe(39);
  expect(series.bucketSeconds).toBeGreaterThan(60);
  expect(series.columns.value.length).toBeLessThanOrEqual(12);
  expect([series.columns.value[0], series.columns.value.at(-1)]).toEqual([8, 7.961]);
  const modes = (await app.inject({ url: `${url}?parameter=mode&points=5` })).json().series[0].columns.value;
  expect(modes).toContain('SAFE');
});

test('keep to the range', async () => {
  const { app } = await withHistory();
  const answer = await app.inject({
    url: `${url}?parameter=battery_voltage&from=2031-05-04T08:10:00Z&to=2031-05-04T08:11:00%2B00:00`,
  });
  expect(answer.json().series[0].columns.value).toEqual([7.99]);
});

test('a query that cannot be is refused where it stands', async () => {
  const { app } = await withHistory();
  const problem = async (query: string) => (await app.inject({ url: url + query })).json();
  expect(await problem('?parameter=colour')).toMatchObject({ status: 404, code: 'parameter-unknown' });
  expect((await problem('?parameter=colour')).detail).toContain('battery_voltage, battery_current');
  for (const query of ['', '?parameter=mode&points=3', '?parameter=mode&points=1e9', '?parameter=mode&from=now']) {
    expect((await problem(query)).code, query).toBe('request-malformed');
  }
  expect((await app.inject({ url: '/api/missions/robin-1/readings?parameter=mode' })).json().code).toBe(
    'mission-unknown',
  );
});
