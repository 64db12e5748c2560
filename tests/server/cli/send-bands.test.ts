import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { runCommandLine } from '../../../server/cli/program.ts';
import { bandOf, bandTexts } from '../../decoders/support/band.ts';
import { portOf, stationKey, testApp } from '../support/app.ts';
import { temporaryDirectory } from '../support/directory.ts';
import { RealDecoding } from '../support/real-decoding.ts';
import { testIo } from './test-io.ts';

const { band, meta, data } = bandOf({
  texts: bandTexts(1),
  modulation: { kind: 'fsk' },
  sampleRateHz: 16_000,
  cn0DbHz: 40,
  startedAt: '2024-05-04T09:12:00.000Z',
});

test('a SigMF pair is sent as one archive, whichever of its files is named, and two channels as I and Q where that is said', async () => {
  const folder = await temporaryDirectory();
  const [metaPath, dataPath, wavPath] = ['x.sigmf-meta', 'x.sigmf-data', 'y.wav'].map((name) => join(folder, name));
  await writeFile(metaPath, meta);
  await writeFile(dataPath, data);
  await writeFile(wavPath, Buffer.concat([...band.wav('pcm16')]));
  const built = await testApp({ clock: Date.now, decoding: new RealDecoding() });
  const { authorization } = await stationKey(built, 'Q1LARK');
  const to = `http://127.0.0.1:${await portOf(built)}`;
  const send = async (...args: string[]) => {
    const { io, out, err } = testIo({ env: { FIVEUNIT_KEY: authorization.replace('Bearer ', '') } });
    return { code: await runCommandLine(['send', ...args, '--to', to], io), out: out(), err: err() };
  };

  const pair = await send(metaPath, dataPath, '--tuning', 'fixed');
  expect(pair).toMatchObject({ code: 0, out: expect.stringMatching(/2024-05-04T09:12:00Z +SigMF .* sent as r1\n$/) });
  expect((await send(metaPath)).out).toMatch(/there already, r1/);
  const wav = await send(wavPath, '--iq', '145900000', '--reference-ppm', '2');
  expect(wav).toMatchObject({ code: 0, out: expect.stringContaining('sent as r2') });
  await built.jobs.idle();
  const { recordings } = (await built.app.inject({ url: '/api/recordings' })).json();
  expect(recordings).toMatchObject([
    { bursts: 1, audio: { iq: { centerHz: 145.9e6, tuning: 'unknown', referenceErrorPpm: 2 } } },
    { bursts: 1, audio: { encoding: 'sigmf ci16_le', iq: { tuning: 'fixed', tuningSource: 'sender' } } },
  ]);

  const other = join(folder, 'other.sigmf-meta');
  await writeFile(other, meta.replace('09:12', '09:13'));
  await writeFile(other.replace(/meta$/, 'data'), data);
  const cut = await send(other, '--frames-only', '--tuning', 'fixed', '--reference-ppm', '2');
  expect([cut.code, cut.out]).toEqual([0, expect.stringContaining('1 cut out and sent: r3')]);
  const centred = await send(other, '--frames-only', '--tuning', 'doppler-corrected', '--dry-run');
  expect(centred.out).toContain('1 would be cut out and sent');
  await built.jobs.idle();
  expect((await built.app.inject({ url: '/api/recordings/r3' })).json()).toMatchObject({
    bursts: 1,
    startedAt: expect.stringContaining('2024-05-04T09:13:0'),
    startedAtSource: 'SigMF core:datetime',
    cutOut: { band: { centerHz: 145.9e6, tuning: 'fixed', referenceErrorPpm: 2 } },
  });
  const [{ carrier }] = (await built.app.inject({ url: '/api/recordings/r3/bursts' })).json().bursts;
  expect(carrier.source).toBe('sender');
  expect(Math.abs(carrier.carrierHz - band.carrierAt(carrier.seconds))).toBeLessThan(5);
  const lone = join(folder, 'z.sigmf-data');
  await writeFile(lone, data);
  const refused = await send(lone);
  expect(refused).toMatchObject({ code: 2, out: expect.stringContaining('not sent: sigmf-no-twin') });
});
