import { describe, expect, test } from 'vitest';
import { putWren, stationKey, TEAM, testApp, wren } from '../../support/app.ts';

const url = '/api/missions/wren-1';

describe('a mission definition', () => {
  test('comes back as its author wrote it, notes and order included', async () => {
    const { app } = await testApp();
    const definition = wren();
    const put = await app.inject({ method: 'PUT', url, headers: TEAM, payload: definition });
    expect(put.statusCode).toBe(201);
    expect(put.json()).toEqual({ id: 'wren-1', version: 1, changed: true, warnings: [] });
    expect(put.headers.etag).toBe('"1"');
    const got = await app.inject({ url });
    expect(got.body).toBe(JSON.stringify(definition));
    expect(got.headers.etag).toBe('"1"');
  });

  test('is changed by the team only', async () => {
    const built = await testApp();
    const { app } = built;
    const station = await stationKey(built, 'Q1LARK');
    const put = (headers: Record<string, string>) => app.inject({ method: 'PUT', url, headers, payload: wren() });
    expect((await put({})).json()).toMatchObject({ status: 401, code: 'key-needed' });
    expect((await put(station)).json()).toMatchObject({ status: 403, code: 'team-key-needed' });
    expect((await put({ authorization: 'Bearer guessed' })).json()).toMatchObject({ status: 401, code: 'key-unknown' });
    expect((await app.inject({ url: '/api/missions' })).json()).toEqual({ missions: [] });
  });

  test('gets a version for each change, each of which can be read', async () => {
    const built = await testApp();
    await putWren(built);
    await putWren(built, { name: 'Wren' });
    await putWren(built, { name: 'Wren' });
    const { app } = built;
    const versions = await app.inject({ url: `${url}/versions` });
    expect(versions.json().versions).toMatchObject([{ version: 2 }, { version: 1 }]);
    expect((await app.inject({ url: `${url}?version=1` })).json().name).toBe('Wren-1');
    expect((await app.inject({ url })).json().name).toBe('Wren');
    expect((await app.inject({ url: `${url}?version=3` })).json().code).toBe('mission-unknown');
    expect((await app.inject({ url: '/api/missions' })).json().missions).toMatchObject([
      { id: 'wren-1', name: 'Wren', version: 2, frames: 0, lastHeard: null, invented: false, private: false },
    ]);
  });

  test('is changed only onto the version that If-Match names', async () => {
    const { app } = await testApp();
    const put = (payload: object, headers: Record<string, string>) =>
      app.inject({ method: 'PUT', url, headers: { ...TEAM, ...headers }, payload });
    expect((await put(wren(), { 'if-match': '"1"' })).json()).toMatchObject({
      status: 412,
      code: 'version-conflict',
      version: 0,
    });
    expect((await put(wren(), { 'if-none-match': '*' })).statusCode).toBe(201);
    expect((await put(wren({ name: 'A' }), { 'if-none-match': '*' })).statusCode).toBe(412);
    expect((await put(wren({ name: 'A' }), { 'if-match': '"1"' })).statusCode).toBe(200);
    const conflict = await put(wren({ name: 'B' }), { 'if-match': '"1"' });
    expect(conflict.json()).toMatchObject({ status: 412, version: 2 });
    expect(conflict.json().detail).toContain('If-Match: "2"');
    expect((await put(wren({ name: 'B' }), { 'if-match': 'soon' })).json().at).toBe('headers/if-match');
  });

  test('of two changes at once onto the same version one wins', async () => {
    const built = await testApp();
    await putWren(built);
    const puts = ['A', 'B', 'C'].map((name) =>
      built.app.inject({ method: 'PUT', url, headers: { ...TEAM, 'if-match': '"1"' }, payload: wren({ name }) }),
    );
    const statuses = (await Promise.all(puts)).map(({ statusCode }) => statusCode);
    expect(statuses.sort()).toEqual([200, 412, 412]);
  });
});

describe('a definition that cannot be', () => {
  test.each([
    ['an unknown key', { colour: 'red' }, 'unknown-key'],
    ['a layout without anything', { frames: [] }, ''],
    ['a unit that cannot be', { parameters: [{ id: 'x', name: 'X', unit: 'furlong', from: 'battery' }] }, ''],
    ['a cycle in derive', { parameters: [{ id: 'x', name: 'X', derive: { sum: ['x', 'x'] } }] }, ''],
  ])('with %s is refused with every fault by its place', async (_what, change, code) => {
    const { app } = await testApp();
    const response = await app.inject({ method: 'PUT', url, headers: TEAM, payload: wren(change) });
    expect(response.statusCode).toBe(422);
    expect(response.headers['content-type']).toContain('application/problem+json');
    const { faults, code: problem } = response.json();
    expect(problem).toBe('mission-faulty');
    expect(faults.length).toBeGreaterThan(0);
    expect(faults[0]).toMatchObject({
      path: expect.any(String),
      found: expect.any(String),
      expected: expect.any(String),
    });
    if (code !== '') expect(faults[0].code).toBe(code);
    expect((await app.inject({ url })).statusCode).toBe(404);
  });

  test('is refused under another id, or when it is no object', async () => {
    const { app } = await testApp();
    const put = (payload: string) =>
      app.inject({ method: 'PUT', url, headers: { ...TEAM, 'content-type': 'application/json' }, payload });
    expect((await put(JSON.stringify(wren({ id: 'robin-1' })))).json()).toMatchObject({ status: 400, at: 'body/id' });
    for (const body of ['[]', 'null', '7', '"text"']) expect((await put(body)).json().code).toBe('request-malformed');
    for (const body of ['{', '', '{"a":1}x', '{"__proto__":{}}'])
      expect((await put(body)).json().code).toBe('body-not-json');
  });
});

test('a private mission is seen with a key only, wherever it might show', async () => {
  const built = await testApp();
  await putWren(built, { private: true });
  const { app } = built;
  const station = await stationKey(built, 'Q1LARK');
  for (const path of ['', '/versions', '/now', '/frames', '/readings?parameter=mode']) {
    expect((await app.inject({ url: url + path })).json(), path).toMatchObject({ status: 401, code: 'key-needed' });
    expect((await app.inject({ url: url + path, headers: station })).statusCode, path).toBe(200);
  }
  expect((await app.inject({ url: '/api/missions' })).json().missions).toEqual([]);
  expect((await app.inject({ url: '/api/missions', headers: station })).json().missions).toHaveLength(1);
});

test('a new definition corrects the readings of frames that are here', async () => {
  const built = await testApp();
  await putWren(built);
  const { app, jobs } = built;
  const line = { mission: 'wren-1', station: 'Q1LARK', receivedAt: '2031-05-04T08:00:00Z' };
  const { powerText } = await import('../../support/wren.ts');
  const { id } = (
    await app.inject({ method: 'POST', url: '/api/frames', payload: { ...line, text: powerText() } })
  ).json();
  const voltage = async () => {
    const { readings, definition } = (await app.inject({ url: `/api/frames/${id}` })).json();
    return [readings.find((each: { parameter: string }) => each.parameter === 'battery_voltage').value, definition];
  };
  expect(await voltage()).toEqual([7.921, { version: 1, readingsVersion: 1 }]);
  const [first, ...others] = (wren() as { parameters: object[] }).parameters;
  await putWren(built, { parameters: [{ ...first, calibration: { polynomial: [0, 0.00101] } }, ...others] });
  await jobs.idle();
  expect(await voltage()).toEqual([expect.closeTo(8.00021, 9), { version: 1, readingsVersion: 2 }]);
  const series = await app.inject({ url: `${url}/readings?parameter=battery_voltage` });
  expect(series.json().series[0].columns.value).toEqual([expect.closeTo(8.00021, 9)]);
});
