import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { DECODER_VERSION } from '../../../../decoders/decoder-version.ts';
import { renderFrame } from '../../../../decoders/frames/render.ts';
import { practiceOf } from '../../../../decoders/mission/practice.ts';
import { putWren, stationKey, type TestApp, testApp, upload } from '../../support/app.ts';
import { fakeRecording } from '../../support/fake-decoding.ts';
import { powerFrame, powerText, wrenMission } from '../../support/wren.ts';

const line = { mission: 'wren-1', station: 'q1lark', receivedAt: '2031-05-04T08:00:00Z', text: powerText() };

async function withWren(options = {}): Promise<TestApp> {
  const built = await testApp(options);
  await putWren(built);
  return built;
}

function send({ app }: TestApp, payload: unknown, headers: Record<string, string> = {}) {
  return app.inject({
    method: 'POST',
    url: '/api/frames',
    headers: { 'content-type': 'application/json', ...headers },
    payload: JSON.stringify(payload),
  });
}

describe('a line', () => {
  test('of practice is read, and kept as rehearsal whatever is said', async () => {
    const built = await withWren();
    const practice = practiceOf(wrenMission());
    if (practice === null) throw new Error('wren-1 cannot be practised');
    const text = renderFrame(practice, 'power', { count: 42, battery: 7921, current: -130, mode: 'NOM' });
    for (const payload of [
      { ...line, text },
      { ...line, text: text.toLowerCase(), phase: 'flight' },
    ]) {
      const response = await send(built, payload);
      expect(response.json()).toMatchObject({ frame: 'power', fields: { battery: { raw: 7921 } } });
    }
    const framesOf = async (phase: string) =>
      (await built.app.inject({ url: `/api/missions/wren-1/frames?phase=${phase}` })).json().frames.length;
    expect([await framesOf('flight'), await framesOf('rehearsal')]).toEqual([0, 2]);
  });

  test('says at once what it holds, is never confirmed by itself, and stands in the log', async () => {
    const built = await withWren();
    const response = await send(built, line);
    expect(response.statusCode).toBe(201);
    const accepted = response.json();
    expect(accepted).toMatchObject({
      trust: 'probable',
      frame: 'power',
      checksum: 'pass',
      text: line.text,
      fields: { battery: { raw: 7921, text: '7921' }, mode: { raw: 'NOM' } },
      problems: [],
      more: [],
    });
    expect(accepted.readings).toContainEqual(
      expect.objectContaining({ parameter: 'battery_voltage', value: 7.921, unit: 'V', limit: 'normal' }),
    );
    const { frames } = (await built.app.inject({ url: '/api/missions/wren-1/frames' })).json();
    expect(frames).toMatchObject([
      { id: accepted.id, source: 'line', recording: null, station: 'Q1LARK', vouched: false },
    ]);
  });

  test('sent twice is stored once', async () => {
    const built = await withWren();
    const answers = await Promise.all([line, line, line].map((each) => send(built, each)));
    expect(answers.map(({ statusCode }) => statusCode).sort()).toEqual([200, 200, 201]);
    expect(new Set(answers.map((answer) => answer.json().id)).size).toBe(1);
    expect((await send(built, { ...line, receivedAt: '2031-05-04T08:01:00Z' })).statusCode).toBe(201);
  });

  test('without a time is kept out of the trends, and says so', async () => {
    const built = await withWren();
    const accepted = (await send(built, { ...line, receivedAt: null })).json();
    expect(accepted.problems).toMatchObject([{ code: 'needs-time' }]);
    expect(accepted.readings).toContainEqual(expect.objectContaining({ parameter: 'battery_voltage', value: 7.921 }));
    const readings = await built.app.inject({ url: '/api/missions/wren-1/readings?parameter=battery_voltage' });
    expect(readings.json().series[0].total).toBe(0);
    expect((await built.app.inject({ url: `/api/frames/${accepted.id}` })).json().receivedAt).toBeNull();
  });

  test('as people type it is read, and what was assumed is said', async () => {
    const built = await withWren();
    const accepted = (await send(built, { ...line, text: `heard: ${line.text.toLowerCase()}` })).json();
    expect(accepted.frame).toBe('power');
    expect(accepted.problems.length).toBeGreaterThan(0);
    expect(accepted.problems[0].code).toBe('assumed');
  });

  test('of several frames gives them all', async () => {
    const built = await withWren();
    const accepted = (
      await send(built, { ...line, text: `${line.text}\n${powerText({ count: 43, battery: 7900 })}` })
    ).json();
    expect(accepted.more).toMatchObject([{ frame: 'power', fields: { battery: { raw: 7900 } } }]);
    const detail = await built.app.inject({ url: `/api/frames/${accepted.more[0].id}` });
    expect(detail.json().receivedAt).toBe('2031-05-04T08:00:00.000Z');
  });

  test('that fits nothing is refused with the nearest layout', async () => {
    const built = await withWren();
    const nearly = (await send(built, { ...line, text: 'Q0WRN X 12' })).json();
    expect(nearly).toMatchObject({ status: 422, code: 'line-unreadable' });
    expect(nearly.nearest).toMatchObject({
      frame: expect.any(String),
      at: expect.any(Number),
      expected: expect.any(String),
    });
    const foreign = (await send(built, { ...line, text: 'HELLO WORLD' })).json();
    expect(foreign).toMatchObject({ status: 422, code: 'line-unreadable' });
  });

  test('with HTML in it is text and nothing else', async () => {
    const built = await withWren();
    const html = '<script>alert(1)</script>';
    const refused = await send(built, { ...line, text: html });
    expect(refused.statusCode).toBe(422);
    expect(refused.headers['content-type']).toContain('application/problem+json');
    const lark = await stationKey(built, 'Q1LARK');
    const { id } = (await send(built, { ...line, text: `${html} ${line.text}` })).json();
    const { origin, text } = (await built.app.inject({ url: `/api/frames/${id}`, headers: lark })).json();
    expect(origin.line).toBe(`${html} ${line.text}`);
    expect(text).toBe(line.text);
  });

  test('is vouched for by the key of its station, and by no other', async () => {
    const built = await withWren();
    const lark = await stationKey(built, 'Q1LARK');
    const { id } = (await send(built, line, lark)).json();
    expect((await built.app.inject({ url: `/api/frames/${id}` })).json().vouched).toBe(true);
    expect((await send(built, { ...line, station: 'Q2' }, lark)).json().code).toBe('station-mismatch');
  });

  test('keeps its phase apart', async () => {
    const built = await withWren();
    await send(built, { ...line, phase: 'bench' });
    const total = async (phase: string) => {
      const url = `/api/missions/wren-1/readings?parameter=battery_voltage${phase}`;
      return (await built.app.inject({ url })).json().series[0].total;
    };
    expect([await total(''), await total('&phase=bench'), await total('&phase=rehearsal')]).toEqual([0, 1, 0]);
  });

  test('longer than a few frames is refused', async () => {
    const built = await withWren();
    expect((await send(built, { ...line, text: 'Q'.repeat(1001) })).json()).toMatchObject({
      status: 400,
      at: 'body/text',
    });
    expect((await send(built, { ...line, text: '\n'.repeat(30) })).json()).toMatchObject({ status: 400, limit: 20 });
  });
});

describe('a body that is not as described', () => {
  test.each([
    ['a number for the text', { ...line, text: 7 }, 'body/text'],
    ['null for the text', { ...line, text: null }, 'body/text'],
    ['an empty text', { ...line, text: '' }, 'body/text'],
    ['a number for the time', { ...line, receivedAt: 0 }, 'body/receivedAt'],
    ['text that is no time', { ...line, receivedAt: 'yesterday' }, 'body/receivedAt'],
    ['a day that no month has', { ...line, receivedAt: '2031-02-30T00:00:00Z' }, 'body/receivedAt'],
    ['a time without its zone', { ...line, receivedAt: '2031-02-03T00:00:00' }, 'body/receivedAt'],
    ['no time at all', { ...line, receivedAt: undefined }, 'body'],
    ['a boolean for the station', { ...line, station: true }, 'body/station'],
    ['a path for the mission', { ...line, mission: '../../etc/passwd' }, 'body/mission'],
    ['a list for the mission', { ...line, mission: ['wren-1'] }, 'body/mission'],
    ['a phase that is none', { ...line, phase: 'moon' }, 'body/phase'],
    ['a key that nobody knows', { ...line, trust: 'confirmed' }, 'body'],
    ['null', null, 'body'],
    ['a list', [line], 'body'],
  ])('with %s is refused where it stands', async (_what, payload, at) => {
    const built = await withWren();
    const response = await send(built, payload);
    expect(response.json()).toMatchObject({ status: 400, code: 'request-malformed', at });
    expect((await built.services.store.missions())[0].frames).toBe(0);
  });

  test('says what was given and what may be', async () => {
    const built = await withWren();
    const detail = async (payload: unknown) => (await send(built, payload)).json().detail;
    expect(await detail({ ...line, receivedAt: 5 })).toBe(
      'body/receivedAt must be string or must be null; 5 was given',
    );
    expect(await detail({ ...line, trust: 1 })).toBe(
      'body must hold known names only; "trust" was given, which is not known here',
    );
    expect(await detail({ ...line, phase: 'moon' })).toBe(
      'body/phase must be one of "bench", "rehearsal", "flight"; "moon" was given',
    );
  });

  test('whatever it is, is answered with a problem or taken, and never breaks the server', async () => {
    const built = await withWren({ limits: { linesPerMinute: 1e6, requestsPerMinute: 1e6 } });
    const value = fc.oneof(
      fc.jsonValue(),
      fc.constantFrom('wren-1', 'Q1LARK', '2031-05-04T08:00:00Z', line.text, '\u0000'),
    );
    const body = fc.oneof(
      fc.jsonValue(),
      fc.record({ mission: value, station: value, receivedAt: value, text: value, phase: value }, { requiredKeys: [] }),
      fc.tuple(fc.constantFrom(...Object.keys(line)), value).map(([key, changed]) => ({ ...line, [key]: changed })),
    );
    await fc.assert(
      fc.asyncProperty(body, async (payload) => {
        const response = await send(built, payload);
        expect([200, 201, 400, 404, 422]).toContain(response.statusCode);
        if (response.statusCode >= 400) {
          expect(response.json()).toMatchObject({
            status: response.statusCode,
            code: expect.any(String),
            detail: expect.any(String),
          });
        }
      }),
      { numRuns: 300 },
    );
    expect(built.complaints).toEqual([]);
  });
});

describe('the log of frames', () => {
  test('goes page by page and is narrowed by query', async () => {
    const built = await withWren();
    for (let minute = 0; minute < 5; minute++) {
      await send(built, {
        ...line,
        receivedAt: `2031-05-04T08:0${minute}:00Z`,
        station: minute === 1 ? 'Q2' : 'Q1LARK',
      });
    }
    await send(built, { ...line, receivedAt: null });
    const page = async (query: string) =>
      (await built.app.inject({ url: `/api/missions/wren-1/frames${query}` })).json();
    const seen: (string | null)[] = [];
    let after = '';
    do {
      const { frames, next } = await page(`?limit=4${after}`);
      seen.push(...frames.map(({ receivedAt }: { receivedAt: string | null }) => receivedAt?.slice(14, 16) ?? null));
      after = next === null ? '' : `&after=${next}`;
    } while (after !== '');
    expect(seen).toEqual(['04', '03', '02', '01', '00', null]);
    expect((await page('?station=q2')).frames).toHaveLength(1);
    expect((await page('?from=2031-05-04T08:03:00Z')).frames).toHaveLength(2);
    expect((await page('?to=2031-05-04T08:00:00Z')).frames).toHaveLength(1);
    expect((await page('?trust=confirmed')).frames).toHaveLength(0);
    for (const query of ['?from=5', '?limit=501', '?trust=much', '?after=<b>', '?after=r5', '?page=2']) {
      expect((await page(query)).code, query).toBe('request-malformed');
    }
  });
});

describe('a frame', () => {
  test('of a recording tells its whole origin', async () => {
    const built = await withWren();
    const frame = powerFrame();
    const file = fakeRecording({ bursts: [{ text: `RYRY ${frame.text}`, startSeconds: 4, frames: [frame] }] });
    const { id: recording, sha256 } = (await upload(built, file)).json();
    await built.jobs.idle();
    const { frames } = (await built.app.inject({ url: '/api/missions/wren-1/frames' })).json();
    const detail = (await built.app.inject({ url: `/api/frames/${frames[0].id}` })).json();
    expect(detail).toMatchObject({
      mission: 'wren-1',
      frame: 'power',
      receivedAt: '2031-05-04T08:50:02.000Z',
      trust: 'confirmed',
      recording,
      decision: { repaired: false, notes: [] },
      definition: { version: 1, readingsVersion: 1 },
      origin: {
        source: 'recording',
        recording: { id: recording, sha256, startedAt: '2031-05-04T08:50:00.000Z', startedAtSource: 'sender' },
        decoderVersion: DECODER_VERSION,
        startSeconds: 2,
        burst: { index: 0, startSeconds: 4, baud: 45.45, markHz: 1275, spaceHz: 1445 },
      },
    });
    expect(detail.characters.map(({ text }: { text: string }) => text).join('')).toBe(frame.text);
    expect(detail.origin.slots).toHaveLength(frame.text.length);
  });

  test('of a line keeps the line for those with a key', async () => {
    const built = await withWren();
    const { id } = (await send(built, { ...line, text: `mum called. ${line.text}` })).json();
    const lark = await stationKey(built, 'Q1LARK');
    const open = (await built.app.inject({ url: `/api/frames/${id}` })).json();
    expect(open.origin).toMatchObject({ source: 'line', line: null });
    const keyed = (await built.app.inject({ url: `/api/frames/${id}`, headers: lark })).json();
    expect(keyed.origin.line).toBe(`mum called. ${line.text}`);
  });

  test('that is not here is not found', async () => {
    const built = await withWren();
    expect((await built.app.inject({ url: '/api/frames/f9' })).json()).toMatchObject({
      status: 404,
      code: 'frame-unknown',
    });
    expect((await built.app.inject({ url: '/api/frames/9' })).json().status).toBe(400);
  });
});
