import { createHash } from 'node:crypto';
import { existsSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { form, putWren, stationKey, TEAM, type TestApp, testApp, upload, wren } from '../../support/app.ts';
import { FakeDecoding, fakeRecording } from '../../support/fake-decoding.ts';
import { beaconPresence, missionChange } from '../../support/records.ts';
import { powerFrame } from '../../support/wren.ts';

const frame = powerFrame();
const oneFrame = fakeRecording({ bursts: [{ text: `RYRYRY ${frame.text}`, frames: [frame] }] });

async function withWren(options = {}): Promise<TestApp> {
  const built = await testApp(options);
  await putWren(built);
  return built;
}

async function voltages({ app }: TestApp, query = ''): Promise<unknown[]> {
  const response = await app.inject({ url: `/api/missions/wren-1/readings?parameter=battery_voltage${query}` });
  return response.json().series[0].columns.value;
}

describe('a recording', () => {
  test('is taken, decoded, and its readings stand in the trends', async () => {
    const built = await withWren();
    const accepted = await upload(built, oneFrame);
    expect(accepted.statusCode).toBe(202);
    const { id, sha256, status, senderKey } = accepted.json();
    expect(sha256).toBe(createHash('sha256').update(oneFrame).digest('hex'));
    expect(status).toBe('waiting');
    expect(senderKey).toMatch(/^[\w-]{43}$/);
    await built.jobs.idle();
    const recording = (await built.app.inject({ url: `/api/recordings/${id}` })).json();
    expect(recording).toMatchObject({
      status: 'decoded',
      progress: 1,
      bursts: 1,
      frames: 1,
      mission: 'any',
      station: 'Q1LARK',
      vouched: false,
      phase: 'flight',
      startedAt: '2031-05-04T08:50:00.000Z',
      startedAtSource: 'sender',
      needsTime: false,
      fileName: null,
      yours: false,
    });
    expect(await voltages(built)).toEqual([7.921]);
    expect(built.complaints).toEqual([]);
  });

  test('sent twice is one recording, also when both come at once', async () => {
    const built = await withWren();
    const answers = await Promise.all(Array.from({ length: 6 }, () => upload(built, oneFrame)));
    expect(answers.map(({ statusCode }) => statusCode).sort()).toEqual([200, 200, 200, 200, 200, 202]);
    expect(new Set(answers.map((answer) => answer.json().id)).size).toBe(1);
    expect(answers.filter((answer) => answer.json().senderKey !== undefined)).toHaveLength(1);
    await built.jobs.idle();
    expect(built.decoding.runs).toBe(1);
    expect(await voltages(built)).toEqual([7.921]);
    expect(readdirSync(join(built.dataDir, 'incoming'))).toEqual([]);
    const late = await upload(built, oneFrame);
    expect([late.statusCode, late.json().status]).toEqual([200, 'decoded']);
  });

  test('is on the disk before it is answered', async () => {
    const decoding = new FakeDecoding();
    decoding.hold();
    const built = await withWren({ decoding });
    const { sha256 } = (await upload(built, oneFrame)).json();
    expect(existsSync(built.services.files.pathOf(sha256))).toBe(true);
    expect(await built.services.store.recordingBySha256(sha256)).toMatchObject({ station: 'Q1LARK' });
    decoding.letGo();
    await built.jobs.idle();
  });

  test('shows how far its decoding is', async () => {
    const decoding = new FakeDecoding();
    decoding.hold();
    const built = await withWren({ decoding });
    const { id } = (await upload(built, oneFrame)).json();
    await expect
      .poll(async () => (await built.app.inject({ url: `/api/recordings/${id}` })).json())
      .toMatchObject({ status: 'decoding', progress: 0.5 });
    decoding.letGo();
    await built.jobs.idle();
  });

  test('that cannot be read is kept with the reason', async () => {
    const built = await withWren();
    const { id, sha256 } = (await upload(built, Buffer.from('no recording'))).json();
    await built.jobs.idle();
    expect((await built.app.inject({ url: `/api/recordings/${id}` })).json()).toMatchObject({
      status: 'failed',
      error: { code: 'not-audio', message: 'this is no recording: give a WAV file' },
    });
    expect(existsSync(built.services.files.pathOf(sha256))).toBe(true);
    expect(built.complaints).toEqual([]);
  });

  test('says whose beacon it holds too faint to be read, to those who may know of that mission', async () => {
    const built = await testApp();
    await putWren(built, { private: true });
    const presence = { ...beaconPresence(), mission: 'wren-1' };
    const { id, senderKey } = (await upload(built, fakeRecording({ presence: [presence] }))).json();
    await built.jobs.idle();
    const seen = async (url: string, headers = {}) => (await built.app.inject({ url, headers })).json();
    const lark = await stationKey(built, 'Q2WREN');
    for (const headers of [TEAM, lark, { authorization: `Bearer ${senderKey}` }]) {
      const [listed] = (await seen('/api/recordings', headers)).recordings;
      expect(listed.presence).toEqual([{ ...presence, version: 1 }]);
      expect((await seen(`/api/recordings/${id}`, headers)).presence).toEqual(listed.presence);
    }
    expect((await seen('/api/recordings')).recordings).toMatchObject([{ presence: [] }]);
    expect((await seen(`/api/recordings/${id}`)).presence).toEqual([]);
  });

  test('that breaks the decoder fails alone, and the fault is told', async () => {
    const built = await withWren();
    const { id } = (await upload(built, fakeRecording({ broken: true }))).json();
    const { id: next } = (await upload(built, oneFrame)).json();
    await built.jobs.idle();
    expect((await built.app.inject({ url: `/api/recordings/${id}` })).json().error.code).toBe('decoding-broke');
    expect((await built.app.inject({ url: `/api/recordings/${next}` })).json().status).toBe('decoded');
    expect(built.complaints).toEqual(['decoding recording 1: the decoder has a fault']);
  });

  test('keeps what was wrong with it', async () => {
    const built = await withWren();
    const { id } = (await upload(built, fakeRecording({ problems: ['cut-short'] }))).json();
    await built.jobs.idle();
    expect((await built.app.inject({ url: `/api/recordings/${id}` })).json().problems).toEqual([
      { code: 'cut-short', message: 'cut-short', atSeconds: 1 },
    ]);
  });
});

describe('the time of a recording', () => {
  const uploadUndated = async (built: TestApp, file: Buffer, fileName = 'pass.wav', fields = {}) => {
    const { payload, headers } = form({ mission: 'any', station: 'Q1LARK', ...fields }, file, fileName);
    return (await built.app.inject({ method: 'POST', url: '/api/recordings', payload, headers })).json();
  };

  test('unknown keeps its frames out of the trends until somebody says it', async () => {
    const built = await withWren();
    const { id, senderKey } = await uploadUndated(built, oneFrame);
    await built.jobs.idle();
    const url = `/api/recordings/${id}`;
    expect((await built.app.inject({ url })).json()).toMatchObject({ startedAt: null, needsTime: true, frames: 1 });
    expect(await voltages(built)).toEqual([]);
    const listed = (await built.app.inject({ url: '/api/missions/wren-1/frames' })).json().frames;
    expect(listed).toMatchObject([{ receivedAt: null }]);
    const undatedFrame = (await built.app.inject({ url: `/api/frames/${listed[0].id}` })).json();
    expect(undatedFrame.readings).toContainEqual(
      expect.objectContaining({ parameter: 'battery_voltage', value: 7.921 }),
    );
    expect((await built.app.inject({ url: '/api/missions/wren-1/now' })).json()).toMatchObject({
      waitingForTime: 1,
      lastHeard: null,
    });

    const patch = await built.app.inject({
      method: 'PATCH',
      url,
      headers: { authorization: `Bearer ${senderKey}` },
      payload: { startedAt: '2031-05-04T08:00:00Z', timeAccuracySeconds: 2 },
    });
    expect(patch.json()).toMatchObject({
      startedAt: '2031-05-04T08:00:00.000Z',
      startedAtSource: 'sender',
      timeAccuracySeconds: 2,
      needsTime: false,
      yours: true,
    });
    expect(await voltages(built)).toEqual([7.921]);
    const dated = (await built.app.inject({ url: `/api/frames/${listed[0].id}` })).json();
    expect(dated).toMatchObject({
      receivedAt: '2031-05-04T08:00:02.000Z',
      receivedAtSource: 'sender',
      receivedAtUncertaintySeconds: 2,
    });
  });

  test('is taken from the name of the file when nothing else says it, and every frame keeps that', async () => {
    const built = await withWren();
    const { id } = await uploadUndated(built, oneFrame, 'dunlin_20310504T0800Z.wav');
    await built.jobs.idle();
    expect((await built.app.inject({ url: `/api/recordings/${id}` })).json()).toMatchObject({
      startedAt: '2031-05-04T08:00:00.000Z',
      startedAtSource: 'file name',
      timeAccuracySeconds: 60,
      needsTime: false,
    });
    const { frames } = (await built.app.inject({ url: '/api/missions/wren-1/frames' })).json();
    expect(frames).toMatchObject([
      {
        receivedAt: '2031-05-04T08:00:02.000Z',
        receivedAtSource: 'file name',
        receivedAtUncertaintySeconds: 60,
      },
    ]);
  });

  test('without a zone is known to half a day, and contradictions are told', async () => {
    const built = await withWren();
    const { id } = await uploadUndated(built, oneFrame, '20310504_080000.wav');
    const file = fakeRecording({ startedAt: '2031-05-04T07:00:00Z' });
    const { id: both } = await uploadUndated(built, file, '20310504T080000Z.wav');
    await built.jobs.idle();
    expect((await built.app.inject({ url: `/api/recordings/${id}` })).json()).toMatchObject({
      timeAccuracySeconds: 50_400,
      problems: [{ code: 'time-zone-assumed' }],
    });
    expect((await built.app.inject({ url: `/api/recordings/${both}` })).json()).toMatchObject({
      startedAtSource: 'bext',
      problems: [{ code: 'times-disagree' }],
    });
  });

  test('is refused when the recording would end after it was sent', async () => {
    const built = await withWren();
    const late = '2031-05-04T09:04:50Z';
    const { id, senderKey } = (await upload(built, oneFrame, { startedAt: late })).json();
    await built.jobs.idle();
    const url = `/api/recordings/${id}`;
    expect((await built.app.inject({ url })).json()).toMatchObject({
      startedAt: null,
      needsTime: true,
      problems: [{ code: 'time-impossible', message: expect.stringContaining('would end after it was sent') }],
    });
    expect(await voltages(built)).toEqual([]);
    const headers = { authorization: `Bearer ${senderKey}` };
    const again = await built.app.inject({ method: 'PATCH', url, headers, payload: { startedAt: late } });
    expect(again.json()).toMatchObject({ status: 422, code: 'time-impossible', at: 'body/startedAt' });
    const right = { startedAt: '2031-05-04T08:50:00Z' };
    expect((await built.app.inject({ method: 'PATCH', url, headers, payload: right })).json()).toMatchObject({
      needsTime: false,
      problems: [],
    });
  });

  test('is refused before the mission was launched, but for the bench', async () => {
    const built = await testApp();
    await putWren(built, { launchedAt: '2031-05-04T08:00:00Z' });
    const early = { startedAt: '2031-05-03T08:00:00Z', mission: 'wren-1' };
    const { id } = (await upload(built, oneFrame, early)).json();
    const { id: bench } = (await upload(built, fakeRecording(), { ...early, phase: 'bench' })).json();
    await built.jobs.idle();
    expect((await built.app.inject({ url: `/api/recordings/${id}` })).json()).toMatchObject({
      startedAt: null,
      problems: [{ code: 'time-impossible' }],
    });
    expect((await built.app.inject({ url: `/api/recordings/${bench}` })).json().startedAt).not.toBeNull();
  });

  test('of a recorder that skips silence is sure for the first minutes only', async () => {
    const built = await withWren();
    const bursts = [2, 300].map((startSeconds) => ({ text: 'X', startSeconds, frames: [{ ...frame, startSeconds }] }));
    const fields = { startedAt: '2031-05-04T08:00:00Z', timeAccuracySeconds: '2', timeBase: 'gaps' };
    const { id, senderKey } = await uploadUndated(built, fakeRecording({ bursts }), 'pass.wav', fields);
    await built.jobs.idle();
    const uncertainties = async () => {
      const { frames } = (await built.app.inject({ url: '/api/missions/wren-1/frames' })).json();
      return frames.map((each: { receivedAtUncertaintySeconds: number }) => each.receivedAtUncertaintySeconds);
    };
    // Newest first; sent an hour after it began, of which five minutes had gone by.
    expect(await uncertainties()).toEqual([2 + 55 * 60, 2]);
    const headers = { authorization: `Bearer ${senderKey}` };
    const payload = { timeBase: 'continuous' };
    const said = await built.app.inject({ method: 'PATCH', url: `/api/recordings/${id}`, headers, payload });
    expect(said.json()).toMatchObject({ timeBase: 'continuous', startedAt: '2031-05-04T08:00:00.000Z' });
    expect(await uncertainties()).toEqual([2, 2]);
  });

  test('of a file that leaves gaps by its own word is taken so, unless its sender knows better', async () => {
    const built = await withWren();
    const { id } = await uploadUndated(built, fakeRecording({ problems: ['time-gaps'] }));
    const file = fakeRecording({ problems: ['time-gaps', 'other'] });
    const { id: known } = await uploadUndated(built, file, 'pass.wav', { timeBase: 'continuous' });
    await built.jobs.idle();
    expect((await built.app.inject({ url: `/api/recordings/${id}` })).json().timeBase).toBe('gaps');
    expect((await built.app.inject({ url: `/api/recordings/${known}` })).json().timeBase).toBe('continuous');
  });

  test('is taken from the file when the sender does not say it', async () => {
    const built = await withWren();
    const file = fakeRecording({ startedAt: '2031-05-04T07:00:00.500Z', bursts: [{ text: 'X', frames: [frame] }] });
    const { id } = await uploadUndated(built, file);
    await built.jobs.idle();
    expect((await built.app.inject({ url: `/api/recordings/${id}` })).json()).toMatchObject({
      startedAt: '2031-05-04T07:00:00.500Z',
      startedAtSource: 'bext',
    });
    const { id: said } = (await upload(built, fakeRecording({ startedAt: '2031-05-04T07:00:00Z' }))).json();
    await built.jobs.idle();
    expect((await built.app.inject({ url: `/api/recordings/${said}` })).json().startedAtSource).toBe('sender');
  });

  test('that cannot be right is refused from the sender, and ignored aloud from the file', async () => {
    const built = await withWren();
    const future = await upload(built, oneFrame, { startedAt: '2031-05-06T00:00:00Z' });
    expect(future.json()).toMatchObject({ status: 422, code: 'time-impossible', at: 'body/startedAt' });
    expect(readdirSync(join(built.dataDir, 'incoming'))).toEqual([]);
    const { id } = await uploadUndated(built, fakeRecording({ startedAt: '1904-01-01T00:00:00Z' }));
    await built.jobs.idle();
    expect((await built.app.inject({ url: `/api/recordings/${id}` })).json()).toMatchObject({
      startedAt: null,
      problems: [{ code: 'time-impossible' }],
    });
  });

  test('can be taken back, and is not changed by others', async () => {
    const built = await withWren();
    const { id, senderKey } = (await upload(built, oneFrame)).json();
    const { senderKey: other } = (await upload(built, fakeRecording())).json();
    await built.jobs.idle();
    const patch = (payload: object, key?: string) =>
      built.app.inject({
        method: 'PATCH',
        url: `/api/recordings/${id}`,
        payload,
        headers: key === undefined ? {} : { authorization: `Bearer ${key}` },
      });
    expect((await patch({ startedAt: null })).json().code).toBe('key-needed');
    expect((await patch({ startedAt: null }, other)).json().code).toBe('not-yours');
    expect(await voltages(built)).toEqual([7.921]);
    expect((await patch({ startedAt: null }, senderKey)).json()).toMatchObject({ startedAt: null, needsTime: true });
    expect(await voltages(built)).toEqual([]);
    for (const payload of [
      {},
      { startedAt: 5 },
      { startedAt: 'soon' },
      { station: 'Q2' },
      { timeAccuracySeconds: '2' },
    ]) {
      expect((await patch(payload, senderKey)).json().code).toBe('request-malformed');
    }
  });
});

describe('a simulated file', () => {
  const file = fakeRecording({ simulated: true, bursts: [{ text: frame.text, frames: [frame] }] });

  test('is never flight, whoever says so', async () => {
    const built = await withWren();
    const { id } = (await upload(built, file)).json();
    await built.jobs.idle();
    expect(await voltages(built)).toEqual([]);
    expect(await voltages(built, '&phase=rehearsal')).toEqual([7.921]);
    const recording = (await built.app.inject({ url: `/api/recordings/${id}` })).json();
    expect(recording).toMatchObject({ audio: { simulated: true }, problems: [{ code: 'simulated' }] });
    await upload(built, file, {}, TEAM);
    expect(await voltages(built)).toEqual([]);
    expect(await voltages(built, '&phase=rehearsal&vouched=true')).toEqual([7.921]);
  });

  test('of an invented mission is part of its story', async () => {
    const built = await testApp();
    const { store } = built.services;
    await store.saveMission({ ...missionChange(), callSign: 'Q0WRN', definition: wren(), invented: true });
    const { id } = (await upload(built, file)).json();
    await built.jobs.idle();
    expect(await voltages(built)).toEqual([7.921]);
    expect((await built.app.inject({ url: `/api/recordings/${id}` })).json().problems).toEqual([]);
  });

  test('sent as a bench test stays one', async () => {
    const built = await withWren();
    await upload(built, file, { phase: 'bench' });
    await built.jobs.idle();
    expect(await voltages(built, '&phase=bench')).toEqual([7.921]);
  });
});

describe('vouching', () => {
  test('a station vouches with its key, under its own call sign only', async () => {
    const built = await withWren();
    const lark = await stationKey(built, 'Q1LARK');
    const { id } = (await upload(built, oneFrame, { station: 'q1lark/p' }, lark)).json();
    await built.jobs.idle();
    expect((await built.app.inject({ url: `/api/recordings/${id}`, headers: lark })).json()).toMatchObject({
      vouched: true,
      station: 'Q1LARK/P',
      yours: true,
      fileName: 'pass.wav',
    });
    expect(await voltages(built, '&vouched=true')).toEqual([7.921]);
    const wrong = await upload(built, fakeRecording(), { station: 'Q2FINCH' }, lark);
    expect(wrong.json()).toMatchObject({ status: 403, code: 'station-mismatch' });
  });

  test('a station may take over what was sent under its call sign without its key', async () => {
    const built = await withWren();
    const { id } = (await upload(built, oneFrame)).json();
    await built.jobs.idle();
    expect(await voltages(built, '&vouched=true')).toEqual([]);
    const lark = await stationKey(built, 'Q1LARK');
    const again = await upload(built, oneFrame, { startedAt: '2031-05-04T08:40:00Z' }, lark);
    expect([again.statusCode, again.json().id]).toEqual([200, id]);
    expect(await voltages(built, '&vouched=true')).toEqual([7.921]);
    const { startedAt, vouched } = (await built.app.inject({ url: `/api/recordings/${id}` })).json();
    expect([startedAt, vouched]).toEqual(['2031-05-04T08:40:00.000Z', true]);
    await upload(built, oneFrame, { station: 'Q9MOCK', startedAt: '2031-05-04T08:00:00Z' });
    expect((await built.app.inject({ url: `/api/recordings/${id}` })).json()).toMatchObject({
      station: 'Q1LARK',
      startedAt: '2031-05-04T08:40:00.000Z',
    });
  });

  test('the team may close the door to those without a key', async () => {
    const built = await withWren();
    await built.app.inject({
      method: 'PUT',
      url: '/api/settings',
      headers: TEAM,
      payload: { unvouchedUploads: false },
    });
    expect((await upload(built, oneFrame)).json()).toMatchObject({ status: 401, code: 'key-needed' });
    expect((await upload(built, oneFrame, {}, TEAM)).statusCode).toBe(202);
  });
});

describe('what others see of a recording', () => {
  const chat = fakeRecording({
    bursts: [
      { text: `HELLO ${frame.text} BYE`, frames: [{ ...frame, characters: shifted(frame.characters, 6) }] },
      { text: 'GOOD EVENING', startSeconds: 20 },
    ],
  });

  function shifted(characters: typeof frame.characters, by: number) {
    return characters.map((character) => ({ ...character, slot: character.slot + by }));
  }

  test('is the tape under its frames; its sender and the team see all', async () => {
    const built = await withWren();
    const { id, senderKey } = (await upload(built, chat)).json();
    await built.jobs.idle();
    const bursts = async (headers = {}) =>
      (await built.app.inject({ url: `/api/recordings/${id}/bursts`, headers })).json().bursts;
    const [first, second] = await bursts();
    expect(first).toMatchObject({ withheld: true, text: frame.text, index: 0 });
    expect(first.slots).toHaveLength(frame.text.length);
    expect(first.slots[0]).toMatchObject({ slot: 6, elements: expect.any(Array) });
    expect(first.frames).toMatchObject([{ mission: 'wren-1', frame: 'power', trust: 'confirmed', text: frame.text }]);
    expect(second).toMatchObject({ withheld: true, text: '', characters: [], slots: [], frames: [] });
    for (const headers of [{ authorization: `Bearer ${senderKey}` }, TEAM]) {
      const [whole, other] = await bursts(headers);
      expect(whole).toMatchObject({ withheld: false, text: `HELLO ${frame.text} BYE` });
      expect(whole.slots).toHaveLength(whole.text.length);
      expect(other.text).toBe('GOOD EVENING');
    }
  });

  test('leaves out the frames of private missions', async () => {
    const built = await testApp();
    await putWren(built, { private: true });
    const { id } = (await upload(built, oneFrame)).json();
    await built.jobs.idle();
    const [burst] = (await built.app.inject({ url: `/api/recordings/${id}/bursts` })).json().bursts;
    expect(burst).toMatchObject({ text: '', frames: [], withheld: true });
    const lark = await stationKey(built, 'Q1LARK');
    const [seen] = (await built.app.inject({ url: `/api/recordings/${id}/bursts`, headers: lark })).json().bursts;
    expect(seen.frames).toHaveLength(1);
  });

  test('is nothing when it was sent for a private mission', async () => {
    const built = await testApp();
    await putWren(built, { private: true });
    expect((await upload(built, oneFrame, { mission: 'wren-1' })).json().code).toBe('key-needed');
    const { id } = (await upload(built, oneFrame, { mission: 'wren-1' }, TEAM)).json();
    expect((await built.app.inject({ url: `/api/recordings/${id}` })).json().code).toBe('key-needed');
    expect((await built.app.inject({ url: '/api/recordings' })).json().recordings).toEqual([]);
    expect((await built.app.inject({ url: '/api/recordings', headers: TEAM })).json().recordings).toHaveLength(1);
  });
});

describe('deleting', () => {
  test('takes the file and all that was read from it, and lets the bytes come again', async () => {
    const built = await withWren();
    const { id, sha256, senderKey } = (await upload(built, oneFrame)).json();
    await built.jobs.idle();
    const headers = { authorization: `Bearer ${senderKey}` };
    const url = `/api/recordings/${id}`;
    expect((await built.app.inject({ method: 'DELETE', url })).json().code).toBe('key-needed');
    expect((await built.app.inject({ method: 'DELETE', url, headers })).statusCode).toBe(204);
    expect((await built.app.inject({ url })).json()).toMatchObject({ status: 404, code: 'recording-unknown' });
    expect(existsSync(built.services.files.pathOf(sha256))).toBe(false);
    expect(await voltages(built)).toEqual([]);
    expect((await upload(built, oneFrame)).statusCode).toBe(202);
  });

  test('stops the decoding', async () => {
    const decoding = new FakeDecoding();
    decoding.hold();
    const built = await withWren({ decoding });
    const { id } = (await upload(built, oneFrame)).json();
    await expect.poll(() => decoding.runs).toBe(1);
    expect((await built.app.inject({ method: 'DELETE', url: `/api/recordings/${id}`, headers: TEAM })).statusCode).toBe(
      204,
    );
    await built.jobs.idle();
    expect(await built.services.store.jobCounts()).toEqual({ waiting: 0, running: 0 });
    expect(built.complaints).toEqual([]);
  });
});

test('the list goes page by page', async () => {
  const built = await withWren();
  for (let n = 0; n < 5; n++)
    await upload(built, fakeRecording({ problems: [`p${n}`] }), { station: n === 2 ? 'Q2' : 'Q1LARK' });
  await built.jobs.idle();
  const page = async (query: string) => (await built.app.inject({ url: `/api/recordings${query}` })).json();
  const ids = ({ recordings }: { recordings: { id: string }[] }) => recordings.map(({ id }) => id);
  const first = await page('?limit=3');
  expect(ids(first)).toEqual(['r5', 'r4', 'r3']);
  const second = await page(`?limit=3&after=${first.next}`);
  expect(ids(second)).toEqual(['r2', 'r1']);
  expect(second.next).toBeNull();
  expect(ids(await page('?station=q2'))).toEqual(['r3']);
  for (const query of ['?limit=0', '?limit=many', '?after=x', '?colour=red', '?limit=3&limit=4']) {
    expect((await page(query)).code, query).toBe('request-malformed');
  }
});

describe('a bad upload', () => {
  test.each([
    ['no file', form({ mission: 'any', station: 'Q1LARK' }), 400, 'multipart-malformed'],
    ['no mission', form({ station: 'Q1LARK' }, oneFrame), 400, 'request-malformed'],
    ['no station', form({ mission: 'any' }, oneFrame), 400, 'request-malformed'],
    ['a station that is a path', form({ mission: 'any', station: '../../etc' }, oneFrame), 400, 'request-malformed'],
    ['a mission that is a path', form({ mission: '../x', station: 'Q1LARK' }, oneFrame), 400, 'request-malformed'],
    ['a mission that is not here', form({ mission: 'robin-1', station: 'Q1LARK' }, oneFrame), 404, 'mission-unknown'],
    [
      'a field nobody knows',
      form({ mission: 'any', station: 'Q1LARK', colour: 'red' }, oneFrame),
      400,
      'request-malformed',
    ],
    [
      'an accuracy that is no number',
      form({ mission: 'any', station: 'Q1LARK', timeAccuracySeconds: 'NaN' }, oneFrame),
      400,
      'request-malformed',
    ],
    [
      'a negative accuracy',
      form({ mission: 'any', station: 'Q1LARK', timeAccuracySeconds: '-1' }, oneFrame),
      400,
      'request-malformed',
    ],
    [
      'a phase that is none',
      form({ mission: 'any', station: 'Q1LARK', phase: 'moon' }, oneFrame),
      400,
      'request-malformed',
    ],
    ['an endless field', form({ mission: 'any', station: 'Q'.repeat(3000) }, oneFrame), 400, 'multipart-malformed'],
    [
      'a field that is a prototype',
      form({ mission: 'any', station: 'Q1LARK', constructor: 'x' }, oneFrame),
      400,
      'multipart-malformed',
    ],
    ['an empty file', form({ mission: 'any', station: 'Q1LARK' }, Buffer.alloc(0)), 422, 'recording-empty'],
  ])('with %s is refused and leaves nothing', async (_what, { payload, headers }, status, code) => {
    const built = await withWren();
    const response = await built.app.inject({ method: 'POST', url: '/api/recordings', payload, headers });
    expect(response.json()).toMatchObject({ status, code });
    expect(response.statusCode).toBe(status);
    expect(readdirSync(join(built.dataDir, 'incoming'))).toEqual([]);
    expect((await built.app.inject({ url: '/api/recordings' })).json().recordings).toEqual([]);
    expect(built.complaints).toEqual([]);
  });

  test('that is no form, or a broken one, is refused', async () => {
    const built = await withWren();
    const post = (payload: string | Buffer, type: string) =>
      built.app.inject({ method: 'POST', url: '/api/recordings', payload, headers: { 'content-type': type } });
    const { payload, headers } = form({ mission: 'any', station: 'Q1LARK' }, oneFrame);
    expect((await post('{}', 'application/json')).json()).toMatchObject({ status: 415, code: 'media-type-unknown' });
    expect((await post('x', 'text/html')).json()).toMatchObject({ status: 415 });
    expect((await post('x', 'multipart/form-data')).json()).toMatchObject({ status: 400, code: 'multipart-malformed' });
    expect((await post('garbage', 'multipart/form-data; boundary=b')).json()).toMatchObject({ status: 400 });
    for (let cut = 1; cut < payload.length; cut += 37) {
      const answer = await post(payload.subarray(0, cut), headers['content-type']);
      expect([cut, answer.statusCode]).toEqual([cut, 400]);
    }
    expect(readdirSync(join(built.dataDir, 'incoming'))).toEqual([]);
    expect(built.complaints).toEqual([]);
  });

  test('that is too large is refused with the limit', async () => {
    const built = await withWren({ limits: { recordingBytes: 1000 } });
    const { payload, headers } = form({ mission: 'any', station: 'Q1LARK' }, Buffer.alloc(1001, 1));
    const post = (more: Record<string, string>) =>
      built.app.inject({ method: 'POST', url: '/api/recordings', payload, headers: { ...headers, ...more } });
    expect((await post({})).json()).toMatchObject({ status: 413, code: 'recording-too-large', limit: 1000 });
    expect((await post({ 'content-length': '2000000' })).json()).toMatchObject({ status: 413 });
    expect(readdirSync(join(built.dataDir, 'incoming'))).toEqual([]);
    expect((await upload(built, Buffer.alloc(1000, 1))).statusCode).toBe(202);
  });

  test('has a name that leads elsewhere: it is data, and for the sender only', async () => {
    const built = await withWren();
    const name = '../../../../tmp/<img src=x onerror=alert(1)>.wav';
    const { payload, headers } = form({ mission: 'any', station: 'Q1LARK' }, oneFrame, name);
    const { id, senderKey } = (
      await built.app.inject({ method: 'POST', url: '/api/recordings', payload, headers })
    ).json();
    const { fileName } = (
      await built.app.inject({ url: `/api/recordings/${id}`, headers: { authorization: `Bearer ${senderKey}` } })
    ).json();
    expect(fileName).toContain('<img src=x onerror=alert(1)>.wav');
    expect(readdirSync(built.dataDir).sort()).toEqual(
      expect.arrayContaining(['fiveunit.db', 'incoming', 'recordings']),
    );
    await built.jobs.idle();
  });

  test('finds no room on the disk: it is told so', async () => {
    const built = await withWren({ limits: { freeBytesKept: Number.MAX_SAFE_INTEGER } });
    expect((await upload(built, oneFrame)).json()).toMatchObject({ status: 507, code: 'storage-full' });
  });
});

test('recordings that are not here, or no names of recordings, are told apart', async () => {
  const { app } = await testApp();
  expect((await app.inject({ url: '/api/recordings/r7' })).json().code).toBe('recording-unknown');
  for (const id of ['7', 'f7', 'r-1', 'r1e3', '..%2F..', 'r99999999999999999999']) {
    expect((await app.inject({ url: `/api/recordings/${id}` })).json(), id).toMatchObject({
      status: 400,
      at: 'params/id',
    });
  }
});
