import { expect, test } from 'vitest';
import { renderFrame } from '../../../decoders/frames/render.ts';
import { practiceOf } from '../../../decoders/mission/practice.ts';
import { createRecordingDecoder } from '../../../decoders/recording.ts';
import { decodeFile } from '../../../server/jobs/decode-file.ts';
import { FAINT, faintPass } from '../../decoders/support/faint-pass.ts';
import { putWren, stationKey, testApp, upload, wren } from '../support/app.ts';
import { FakeDecoding } from '../support/fake-decoding.ts';
import { powerText, wrenMission } from '../support/wren.ts';

/** Decodes recordings as they are, right here. */
class RealDecoding extends FakeDecoding {
  override async run(...[task, { onProgress }]: Parameters<FakeDecoding['run']>) {
    return decodeFile(task, createRecordingDecoder, onProgress);
  }
}

/** A server that knows Wren-1, whose beacon comes every 25 s, and what it says of a pass of it. */
async function decoded(ebN0Db: number) {
  const built = await testApp({ decoding: new RealDecoding() });
  await putWren(built, { beacon: { ...Object(wren().beacon), intervalSeconds: 25 } });
  const textOf = powerTextAt();
  const { id } = (await upload(built, Buffer.from(faintPass(textOf, ebN0Db, 5)))).json();
  await built.jobs.idle();
  expect(built.complaints).toEqual([]);
  return (await built.app.inject({ url: `/api/recordings/${id}` })).json();
}

function powerTextAt(): () => string {
  let count = 40;
  return () => powerText({ count: count++ });
}

test('a pass too faint to be read says that the beacon is there', async () => {
  const recording = await decoded(-3);
  expect(recording).toMatchObject({ status: 'decoded', presence: [{ mission: 'wren-1', version: 1 }] });
  const [presence] = recording.presence;
  expect(Math.abs(presence.markHz - FAINT.markHz)).toBeLessThan(12);
  expect(presence.intervalSeconds).toBeCloseTo(FAINT.intervalSeconds, 1);
  expect(presence.transmissions).toBeGreaterThanOrEqual(6);
  expect(presence.falseAlarmProbability).toBeLessThan(1e-3);
});

test('of a pass that is read nothing more is said', async () => {
  const { frames, presence } = await decoded(9);
  expect(frames).toBe(10);
  expect(presence).toEqual([]);
});

test('what was sent for practice is read as that: rehearsal, whoever says otherwise, and without readings', async () => {
  const practice = practiceOf(wrenMission()) ?? expect.fail('wren-1 cannot be practised');
  const built = await testApp({ decoding: new RealDecoding() });
  await putWren(built);
  const pass = (seed: number) => {
    let count = 40;
    const textOf = () => renderFrame(practice, 'power', { count: count++, battery: 7921, current: -130, mode: 'NOM' });
    return Buffer.from(faintPass(textOf, 12, seed));
  };
  const fields = { phase: 'flight', startedAt: '2031-05-04T08:50:00Z' };
  const [first, second] = [pass(5), pass(6)];
  const { id } = (await upload(built, first, { ...fields, station: 'Q1LARK' })).json();
  await upload(built, second, { ...fields, station: 'Q2LARK' });
  await built.jobs.idle();
  const get = async (url: string) => (await built.app.inject({ url })).json();
  expect(await get(`/api/recordings/${id}`)).toMatchObject({
    status: 'decoded',
    frames: 10,
    presence: [],
    problems: [{ code: 'practice', message: expect.stringContaining('kept as rehearsal') }],
  });
  const framesOf = async (phase: string) => (await get(`/api/missions/wren-1/frames?phase=${phase}`)).frames;
  const expectRehearsed = async () => {
    expect(await framesOf('flight')).toEqual([]);
    const frames = await framesOf('rehearsal');
    expect(frames.map(({ fields: { count } }: { fields: { count: { raw: number } } }) => count.raw).reverse()).toEqual([
      40, 41, 42, 43, 44, 45, 46, 47, 48, 49,
    ]);
    const { readings, origin } = await get(`/api/frames/${frames[0].id}`);
    expect([readings, origin.copies.length]).toEqual([[], 2]);
    for (const phase of ['flight', 'rehearsal']) {
      const { parameters } = await get(`/api/missions/wren-1/readings?phase=${phase}`);
      expect(JSON.stringify(parameters ?? [])).not.toContain('7.92');
    }
  };
  await expectRehearsed();
  // a station that vouches for it calls it flight
  await upload(built, first, { ...fields, station: 'Q1LARK' }, await stationKey(built, 'Q1LARK'));
  await putWren(built, { name: 'Wren-1, calibrated anew' });
  await built.jobs.idle();
  await expectRehearsed();
  expect(built.complaints).toEqual([]);
});
