import { expect, test } from 'vitest';
import { createRecordingDecoder } from '../../../decoders/recording.ts';
import { decodeFile } from '../../../server/jobs/decode-file.ts';
import { FAINT, faintPass } from '../../decoders/support/faint-pass.ts';
import { putWren, testApp, upload, wren } from '../support/app.ts';
import { FakeDecoding } from '../support/fake-decoding.ts';
import { powerText } from '../support/wren.ts';

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
