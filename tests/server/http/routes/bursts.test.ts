import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { encodeFlac } from '../../../../decoders/audio/flac-write.ts';
import { bandFacts, type CutOut, cutOut, findBursts, readingOf } from '../../../../decoders/cut-outs/index.ts';
import { readMission } from '../../../../decoders/mission/read.ts';
import { BAND_MISSION, bandOf, bandTexts } from '../../../decoders/support/band.ts';
import { form, putWren, stationKey, TEAM, type TestApp, testApp, upload } from '../../support/app.ts';
import { RealDecoding } from '../../support/real-decoding.ts';

const samples = join(import.meta.dirname, '../../../../samples');
const recording = readFileSync(join(samples, 'dunlin-power.wav'));
const definition = JSON.parse(readFileSync(join(samples, 'dunlin-1.json'), 'utf8'));
const { mission } = readMission(definition);
const missions = mission === null ? [] : [mission];
const STARTED_AT = '2031-05-04T08:50:00.000Z';

let cut: CutOut;

beforeAll(async () => {
  const found = await findBursts([recording], { missions });
  for await (const one of cutOut([recording], found)) cut = one;
});

interface Handed {
  readonly flac?: Uint8Array;
  readonly fields?: Readonly<Record<string, string>>;
  readonly reading?: Record<string, unknown>;
  readonly headers?: Readonly<Record<string, string>>;
}

const honest = () => ({
  software: 'fiveunit 0.1.0',
  decoderVersion: 4,
  source: { sha256: 'a'.repeat(64), startSeconds: 1.5 },
  bursts: readingOf(cut).map((burst) => ({ ...burst, slots: burst.slots.map((slot) => ({ ...slot })) })),
});

async function hand(built: TestApp, { flac = cut.flac, fields = {}, reading = honest(), headers = {} }: Handed = {}) {
  const { payload, headers: type } = form(
    {
      mission: 'any',
      station: 'q1lark',
      startedAt: STARTED_AT,
      startedAtSource: 'bext',
      timeAccuracySeconds: '1',
      phase: 'rehearsal',
      reading: JSON.stringify(reading),
      ...fields,
    },
    Buffer.from(flac),
    'pass.flac',
  );
  return built.app.inject({ method: 'POST', url: '/api/bursts', payload, headers: { ...type, ...headers } });
}

async function withDunlin(): Promise<TestApp> {
  const built = await testApp({ decoding: new RealDecoding() });
  await built.app.inject({ method: 'PUT', url: '/api/missions/dunlin-1', headers: TEAM, payload: definition });
  return built;
}

const get = async ({ app }: TestApp, url: string, headers = {}) => (await app.inject({ url, headers })).json();

describe('bursts that a station cut out', () => {
  test('are a recording of its own: read here again, dated by the same word, with frames, tape and sound', async () => {
    const built = await withDunlin();
    const key = await stationKey(built, 'Q1LARK');
    const accepted = await hand(built, { headers: key });
    expect(accepted.statusCode).toBe(202);
    const { id } = accepted.json();
    await built.jobs.idle();
    const stored = await get(built, `/api/recordings/${id}`, key);
    expect(stored).toMatchObject({
      status: 'decoded',
      bursts: 1,
      frames: 1,
      vouched: true,
      startedAt: STARTED_AT,
      startedAtSource: 'bext',
      timeAccuracySeconds: 1,
      fileName: 'pass.flac',
      audio: { encoding: 'flac 16', channels: 1, simulated: true },
      problems: [],
      cutOut: { software: 'fiveunit 0.1.0', decoderVersion: 4, source: { startSeconds: 1.5 }, bursts: 1 },
    });
    const { elements, agreeing } = stored.cutOut.readAgain;
    expect(agreeing / elements).toBeGreaterThan(0.99);
    const { frames } = await get(built, '/api/missions/dunlin-1/frames?phase=rehearsal');
    expect(frames).toMatchObject([{ trust: 'confirmed', vouched: true, station: 'Q1LARK' }]);
    const { bursts } = await get(built, `/api/recordings/${id}/bursts`);
    expect(bursts[0].slots.length).toBeGreaterThan(40);
    const { startSeconds, endSeconds } = bursts[0].audible;
    const sound = await built.app.inject({ url: `/api/recordings/${id}/bursts/0/audio` });
    expect([sound.statusCode, sound.headers['content-type']]).toEqual([200, 'audio/wav']);
    expect(sound.rawPayload.length).toBeGreaterThan(2 * 8000 * (endSeconds - startSeconds) - 100);
    expect(built.complaints).toEqual([]);
  });

  test('sent twice are one recording', async () => {
    const built = await withDunlin();
    const answers = [await hand(built), await hand(built)];
    expect(answers.map(({ statusCode }) => statusCode)).toEqual([202, 200]);
    expect(answers[1].json().id).toBe(answers[0].json().id);
    expect(readdirSync(join(built.dataDir, 'incoming'))).toEqual([]);
  });

  test('are no second witness of what their own recording holds', async () => {
    const built = await withDunlin();
    const key = await stationKey(built, 'Q1LARK');
    await upload(built, recording, { startedAt: STARTED_AT, phase: 'rehearsal' }, key);
    const startedAt = new Date(Date.parse(STARTED_AT) + 1000 * cut.startSeconds).toISOString();
    await hand(built, { fields: { startedAt }, headers: key });
    await built.jobs.idle();
    const { frames } = await get(built, '/api/missions/dunlin-1/frames?phase=rehearsal');
    expect(frames).toHaveLength(1);
    const { origin } = await get(built, `/api/frames/${frames[0].id}`);
    expect(origin.copies.map(({ use }: { use: string }) => use).sort()).toEqual(['added', 'same-noise']);
  });

  test('are worth no more than their sound: invented likelihoods make no frame, and the difference is said', async () => {
    const built = await withDunlin();
    let seed = 7;
    const noise = Float32Array.from({ length: 80_000 }, () => {
      seed = (seed * 48_271) % 2_147_483_647;
      return seed / 2_147_483_647 - 0.5;
    });
    const { id } = (await hand(built, { flac: encodeFlac(noise, { sampleRateHz: 8000 }) })).json();
    await built.jobs.idle();
    expect(await get(built, `/api/recordings/${id}`)).toMatchObject({
      status: 'decoded',
      frames: 0,
      problems: [{ code: 'read-otherwise' }],
      cutOut: { readAgain: { agreeing: 0 } },
    });
    expect((await get(built, '/api/missions/dunlin-1/frames?trust=doubtful')).frames).toEqual([]);
  });

  test('without a time wait for one', async () => {
    const built = await withDunlin();
    const { payload, headers } = form(
      { mission: 'dunlin-1', station: 'Q1LARK', phase: 'rehearsal', reading: JSON.stringify(honest()) },
      Buffer.from(cut.flac),
      'undated.flac',
    );
    const { id } = (await built.app.inject({ method: 'POST', url: '/api/bursts', payload, headers })).json();
    await built.jobs.idle();
    expect(await get(built, `/api/recordings/${id}`)).toMatchObject({ frames: 1, startedAt: null, needsTime: true });
  });
});

describe('a burst that was cut out of a complex band', () => {
  const { meta, data } = bandOf({
    texts: bandTexts(1),
    modulation: { kind: 'fm', peakDeviationHz: 3000 },
    sampleRateHz: 16_000,
    cn0DbHz: 40,
    marginSeconds: 3,
    carrierHz: 145.9e6 - 2000,
    centerHz: 145.9e6,
  });

  async function handed(change: (bursts: ReturnType<typeof readingOf>) => unknown) {
    const options = { missions: [BAND_MISSION], sigmfMeta: meta };
    const found = await findBursts([data], options);
    const built = await testApp({ decoding: new RealDecoding() });
    for await (const one of cutOut([data], found, options)) {
      const { iq } = found.summary.info;
      const band = { ...bandFacts(iq ?? expect.fail('no band')), tuning: 'fixed', referenceErrorPpm: 0.5 };
      const reading = { ...honest(), band, bursts: change(readingOf(one)) };
      const answer = await hand(built, { flac: one.flac, reading });
      if (answer.statusCode !== 202) return { answer, recording: null, bursts: [], sound: null };
      await built.jobs.idle();
      const url = `/api/recordings/${answer.json().id}`;
      const headers = { authorization: `Bearer ${answer.json().senderKey}` };
      const sound = await built.app.inject({ url: `${url}/bursts/0/audio`, headers });
      const { bursts } = await get(built, `${url}/bursts`, headers);
      return { answer, recording: await get(built, url), bursts, sound };
    }
    return expect.fail('nothing was cut out');
  }

  test('keeps where its carrier stood and how the receiver was tuned, as the word of its sender', async () => {
    const { recording: stored, bursts, sound } = await handed((said) => said);
    expect(stored).toMatchObject({
      status: 'decoded',
      audio: { encoding: 'flac 16', channels: 1, iq: null },
      cutOut: { band: { centerHz: 145.9e6, tuning: 'fixed', referenceErrorPpm: 0.5 } },
      problems: [],
    });
    expect(bursts).toHaveLength(1);
    const { carrier, markHz, spaceHz, startSeconds, endSeconds } = bursts[0];
    expect(carrier).toMatchObject({ source: 'sender', modulation: 'fm' });
    expect(Math.abs(carrier.absoluteHz - 145.898e6)).toBeLessThan(5);
    expect(carrier.seconds).toBeGreaterThan(startSeconds);
    expect(carrier.seconds).toBeLessThan(endSeconds);
    expect([Math.abs(markHz - 1275) < 3, Math.abs(spaceHz - 1445) < 3]).toEqual([true, true]);
    expect(sound?.statusCode).toBe(200);
  });

  test('has no carrier where its sender read something else than its sound says', async () => {
    const elements = [-5, 5, -5, 5, -5, 5, 5];
    const { bursts } = await handed((said) =>
      said.map((burst) => ({ ...burst, slots: burst.slots.map((slot) => ({ ...slot, elements })) })),
    );
    expect(bursts).toMatchObject([{ carrier: null }]);
  });

  test('is refused where what is said of its carrier is none', async () => {
    const { answer } = await handed((said) => said.map((burst) => ({ ...burst, carrier: { modulation: 'am' } })));
    expect([answer.statusCode, answer.json().code]).toEqual([400, 'request-malformed']);
  });
});

describe('what is no cut-out', () => {
  const long = encodeFlac(new Float32Array(8000 * 241), { sampleRateHz: 8000 });
  const stereo = encodeFlac([new Float32Array(8000), new Float32Array(8000)], { sampleRateHz: 8000 });

  test.each<[string, Handed, number, string, string]>([
    ['another container', { flac: recording }, 422, 'cut-out-unfit', 'no FLAC'],
    ['no bytes', { flac: new Uint8Array() }, 422, 'cut-out-unfit', 'no bytes'],
    ['text', { flac: Buffer.from('fLaC but not really') }, 422, 'cut-out-unfit', 'no FLAC'],
    ['minutes on end', { flac: long }, 422, 'cut-out-unfit', '241 s'],
    ['two channels', { flac: stereo }, 422, 'cut-out-unfit', '2 channels'],
    ['a reading that is no JSON', { fields: { reading: 'text' } }, 400, 'body-not-json', 'JSON'],
    [
      'a reading without bursts',
      { reading: { ...{ software: 'x', decoderVersion: 1 } } },
      400,
      'request-malformed',
      '',
    ],
    ['a source that is no word', { fields: { startedAtSource: '<b>' } }, 400, 'request-malformed', 'startedAtSource'],
    ['a time to come', { fields: { startedAt: '2199-01-01T00:00:00Z' } }, 422, 'time-impossible', ''],
    ['an unknown mission', { fields: { mission: 'heron-9' } }, 404, 'mission-unknown', ''],
  ])('is refused by name, and nothing stays: %s', async (_name, handed, status, code, word) => {
    const built = await testApp();
    const answer = await hand(built, handed);
    expect([answer.statusCode, answer.json().code]).toEqual([status, code]);
    expect(answer.json().detail).toContain(word);
    expect(readdirSync(join(built.dataDir, 'incoming'))).toEqual([]);
    expect((await get(built, '/api/recordings')).recordings).toEqual([]);
    expect(built.complaints).toEqual([]);
  });

  test('is refused when it is too large, or its reading is', async () => {
    const built = await testApp({ limits: { cutOutBytes: 1000, bodyBytes: 5000 } });
    expect((await hand(built)).json()).toMatchObject({ code: 'recording-too-large', limit: 1000 });
    const reading = { ...honest(), software: 'x'.repeat(5000) };
    expect((await hand(built, { flac: new Uint8Array(10), reading })).json().code).toBe('multipart-malformed');
    expect(readdirSync(join(built.dataDir, 'incoming'))).toEqual([]);
  });

  test('is refused without a key where the team wants one, and from another station', async () => {
    const built = await testApp();
    const key = await stationKey(built, 'Q2WREN');
    await putWren(built);
    await built.app.inject({
      method: 'PUT',
      url: '/api/settings',
      headers: TEAM,
      payload: { unvouchedUploads: false },
    });
    expect((await hand(built)).json().code).toBe('key-needed');
    expect((await hand(built, { headers: key })).json().code).toBe('station-mismatch');
  });
});
