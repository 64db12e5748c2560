import { expect, test } from 'vitest';
import { encodeFlac } from '../../../../decoders/audio/flac-write.ts';
import { tarOf } from '../../../decoders/audio/sigmf/sigmf-file.ts';
import { BAND_MISSION, bandOf, bandTexts } from '../../../decoders/support/band.ts';
import { decodeBytes } from '../../../decoders/support/wav.ts';
import { type TestApp, testApp, upload } from '../../support/app.ts';
import { RealDecoding } from '../../support/real-decoding.ts';

const KEYED = {
  texts: bandTexts(1),
  modulation: { kind: 'fsk' },
  sampleRateHz: 16_000,
  cn0DbHz: 40,
  marginSeconds: 3,
  carrierHz: 145.9e6 - 5000,
  centerHz: 145.9e6,
} as const;

const { band, meta, data } = bandOf(KEYED);
const archive = Buffer.from(tarOf({ name: 'x.sigmf-meta', body: meta }, { name: 'x.sigmf-data', body: data }));
const wav = Buffer.concat([...band.wav('pcm16')]);

async function decoded(built: TestApp, file: Buffer, fields: Readonly<Record<string, string>> = {}) {
  const accepted = await upload(built, file, fields);
  expect(accepted.statusCode).toBe(202);
  await built.jobs.idle();
  const { id, senderKey } = accepted.json();
  const headers = { authorization: `Bearer ${senderKey}` };
  const get = async (path = '') => (await built.app.inject({ url: `/api/recordings/${id}${path}`, headers })).json();
  return { id, headers, get };
}

test('a SigMF archive is a band by its own word, and its bursts have carriers', async () => {
  const built = await testApp({ decoding: new RealDecoding() });
  const { id, headers, get } = await decoded(built, archive);
  const before = await get();
  expect(before.audio).toMatchObject({
    encoding: 'sigmf ci16_le',
    channels: 2,
    channel: null,
    iq: { captures: 1, centerHz: 145.9e6, tuning: 'unknown', tuningSource: null, referenceErrorPpm: null },
  });
  const { bursts } = await get('/bursts');
  expect(bursts).toHaveLength(1);
  const { carrier } = bursts[0];
  expect(carrier.modulation).toBe('fsk');
  expect(Math.abs(carrier.absoluteHz - KEYED.carrierHz)).toBeLessThan(5);
  expect(carrier.track.length).toBeGreaterThan(5);
  for (const { carrierHz, uncertaintyHz } of carrier.track) {
    expect(Math.abs(carrierHz + 5000)).toBeLessThan(5);
    expect(uncertaintyHz).toBeGreaterThan(0);
  }

  const heard = await built.app.inject({ url: `/api/recordings/${id}/bursts/0/audio`, headers });
  expect(heard.statusCode).toBe(200);
  const sound = decodeBytes(heard.rawPayload, { missions: [BAND_MISSION] });
  expect(sound.bursts.flatMap(({ frames }) => frames.map(({ frame }) => frame.text))).toEqual(KEYED.texts);
  const stretch = await built.app.inject({ url: `/api/recordings/${id}/stretch?from=0&to=5`, headers });
  expect(stretch.json()).toMatchObject({ code: 'sound-unreadable', detail: expect.stringMatching(/bursts/) });

  const change = (payload: object) =>
    built.app.inject({ method: 'PATCH', url: `/api/recordings/${id}`, headers, payload });
  const tuning = { tuning: 'fixed', referenceErrorPpm: 0.5 };
  const iq = { ...before.audio.iq, ...tuning, tuningSource: 'sender' };
  expect((await change(tuning)).json()).toEqual({ ...before, audio: { ...before.audio, iq } });
  expect((await change({ tuning: 'by ear' })).statusCode).toBe(400);
});

test('what is packed, and an archive with its samples first, are heard alike', async () => {
  const built = await testApp({ decoding: new RealDecoding() });
  const late = Buffer.from(tarOf({ name: 'x.sigmf-data', body: data }, { name: 'x.sigmf-meta', body: meta }));
  const channels = [0, 1].map((part) =>
    Float32Array.from(
      { length: band.frames },
      (_, n) => wav.readInt16LE(wav.length - 4 * (band.frames - n) + 2 * part) / 32_768,
    ),
  );
  const flac = Buffer.from(encodeFlac(channels, { sampleRateHz: KEYED.sampleRateHz }));
  const sounds: Buffer[] = [];
  for (const [file, claims] of [
    [archive, {}],
    [late, {}],
    [flac, { iq: 'true' }],
  ] as const) {
    const { id, headers } = await decoded(built, file, claims);
    sounds.push((await built.app.inject({ url: `/api/recordings/${id}/bursts/0/audio`, headers })).rawPayload);
  }
  expect(sounds[0].length).toBeGreaterThan(100_000);
  expect(sounds.every((sound) => sound.equals(sounds[0]))).toBe(true);
});

test('two channels are I and Q where their sender says so', async () => {
  const built = await testApp({ decoding: new RealDecoding() });
  const claims = { iq: 'true', centerHz: '145900000', tuning: 'doppler-corrected' };
  const { get } = await decoded(built, wav, claims);
  expect((await get()).audio.iq).toEqual({
    captures: 1,
    centerHz: 145.9e6,
    tuning: 'doppler-corrected',
    tuningSource: 'sender',
    referenceErrorPpm: null,
  });
  const { bursts } = await get('/bursts');
  expect(bursts).toHaveLength(1);
  expect(Math.abs(bursts[0].carrier.absoluteHz - KEYED.carrierHz)).toBeLessThan(5);
});

test('what was sent as sound is read again when its sender says that it is I and Q, and back', async () => {
  const built = await testApp({ decoding: new RealDecoding() });
  const { id, headers, get } = await decoded(built, wav);
  const before = await get();
  expect(before).toMatchObject({ status: 'decoded', audio: { iq: null } });
  const change = async (payload: object) => {
    const answer = await built.app.inject({ method: 'PATCH', url: `/api/recordings/${id}`, headers, payload });
    await built.jobs.idle();
    return answer;
  };
  const answer = await change({ iq: true, centerHz: 145.9e6 });
  expect(answer.json()).toMatchObject({ audio: null, bursts: 0 });
  const after = await get();
  expect(after).toMatchObject({ status: 'decoded', bursts: 1, startedAt: before.startedAt });
  expect(after.audio.iq).toMatchObject({ centerHz: 145.9e6, tuning: 'unknown' });
  const { bursts } = await get('/bursts');
  expect(Math.abs(bursts[0].carrier.absoluteHz - KEYED.carrierHz)).toBeLessThan(5);
  expect(bursts[0].text).toContain(KEYED.texts[0].split(' ')[0]);

  // How its receiver was tuned changes nothing of what was read.
  expect((await change({ tuning: 'fixed' })).json()).toMatchObject({ status: 'decoded', bursts: 1 });
  await change({ iq: false });
  expect(await get()).toMatchObject({ status: 'decoded', audio: { iq: null }, bursts: before.bursts });

  const other = await built.app.inject({ method: 'PATCH', url: `/api/recordings/${id}`, payload: { iq: true } });
  expect(other.statusCode).toBe(401);
});

test('one channel cannot be: the recording fails and says why', async () => {
  const built = await testApp({ decoding: new RealDecoding() });
  const mono = Buffer.from(wav);
  mono.writeUInt16LE(1, 22);
  mono.writeUInt16LE(2, 32);
  const { get } = await decoded(built, mono, { iq: 'true' });
  expect(await get()).toMatchObject({ status: 'failed', error: { code: 'iq-needs-two-channels' } });
});
