import { describe, expect, test } from 'vitest';
import { encodeWav } from '../../decoders/audio/wav-write.ts';
import type { SimulatedBand } from '../../decoders/simulate/index.ts';
import { BAND_KEYING, BAND_MISSION, bandOf, bandTexts } from './support/band.ts';
import { type BurstEvent, decodeBytes } from './support/wav.ts';

/** A low pass right overhead lasts ten minutes: Doppler from +3.4 to -3.4 kHz, 67 Hz/s at the closest. */
const PASS = { heightKm: 400, maxElevationDegrees: 90 };
const STARTED_AT = '2027-03-01T18:40:00.000Z';

/** What every recording of a pass must give. */
function expectPass(bursts: readonly BurstEvent[], texts: readonly string[], band: SimulatedBand): void {
  expect(bursts.map(({ frames }) => frames.map(({ frame }) => [frame.text, frame.trust]))).toEqual(
    texts.map((text) => [[text, 'confirmed']]),
  );
  for (const { burst } of bursts) {
    const { carrier } = burst;
    if (!carrier) throw new Error('no carrier was reported');
    for (const { seconds, carrierHz } of [carrier, ...carrier.track]) {
      expect(Math.abs(carrierHz - band.carrierAt(seconds))).toBeLessThan(5);
    }
    expect(carrier.track.length).toBeGreaterThan(7);
    expect(carrier.absoluteHz).toBeCloseTo(145.9e6 + carrier.carrierHz, 3);
    const slope = band.carrierAt(carrier.seconds + 0.5) - band.carrierAt(carrier.seconds - 0.5);
    expect(Math.abs(carrier.driftHzPerSecond - slope)).toBeLessThan(1);
    expect(carrier.uncertaintyHz).toBeLessThan(2);
  }
}

describe('a complex band with a pass', () => {
  test('of a keyed carrier, from horizon to horizon, gives its frames, and its carrier within 5 Hz', () => {
    const texts = bandTexts(5);
    const { band, meta, data } = bandOf({
      texts,
      modulation: { kind: 'fsk' },
      pass: { ...PASS, closestSeconds: 302 },
      intervalSeconds: 147,
      startedAt: STARTED_AT,
      centerHz: 145.9e6,
      carrierHz: 145.9e6 + 800,
      sampleRateHz: 12_000,
      cn0DbHz: 27.6,
    });
    expect(band.carrierAt(2) - band.carrierAt(600)).toBeGreaterThan(6500);
    const { bursts, summary } = decodeBytes(data, { missions: [BAND_MISSION], sigmfMeta: meta });
    expectPass(bursts, texts, band);
    for (const { burst } of bursts) {
      expect(burst.carrier?.modulation).toBe('fsk');
      expect(Math.abs(burst.spaceHz - burst.markHz - 170)).toBeLessThan(4);
    }
    expect(summary.info).toMatchObject({ simulated: true, startedAt: { iso: STARTED_AT }, channels: 2 });
    expect(summary.channel).toBeNull();
  });

  test('of an orbit so low that Doppler runs by 100 Hz/s, four kilohertz off, gives the same', () => {
    const texts = bandTexts(1);
    const { band, meta, data } = bandOf({
      texts,
      modulation: { kind: 'fsk' },
      pass: { heightKm: 270, maxElevationDegrees: 90, closestSeconds: 7 },
      centerHz: 145.9e6,
      carrierHz: 145.9e6 + 4000,
      sampleRateHz: 16_000,
      cn0DbHz: 27.6,
    });
    expect(band.carrierAt(6.5) - band.carrierAt(7.5)).toBeGreaterThan(95);
    expectPass(decodeBytes(data, { missions: [BAND_MISSION], sigmfMeta: meta }).bursts, texts, band);
  });

  test('of tones on an FM carrier, below what a discriminator needs, gives the same', () => {
    const texts = bandTexts(3);
    const { band, meta, data } = bandOf({
      texts,
      modulation: { kind: 'fm', peakDeviationHz: 3000 },
      pass: { ...PASS, closestSeconds: 55 },
      intervalSeconds: 50,
      centerHz: 145.9e6,
      carrierHz: 145.9e6 + 800,
      sampleRateHz: 18_000,
      // A discriminator behind a filter of Carson's width reads half of such frames at 35 dB-Hz.
      cn0DbHz: 33,
    });
    const { bursts } = decodeBytes(data, { missions: [BAND_MISSION], sigmfMeta: meta });
    expectPass(bursts, texts, band);
    for (const { burst } of bursts) {
      expect(burst.carrier?.modulation).toBe('fm');
      expect(Math.abs(burst.markHz - BAND_KEYING.markHz)).toBeLessThan(5);
      expect(Math.abs(burst.spaceHz - BAND_KEYING.spaceHz)).toBeLessThan(5);
    }
  });
});

describe('a short band', () => {
  const texts = bandTexts(1);
  const keyed = { texts, modulation: { kind: 'fsk' }, sampleRateHz: 16_000, cn0DbHz: 32, marginSeconds: 3 } as const;
  const { meta, data, band } = bandOf({ ...keyed, carrierHz: 145.9e6 - 5000, centerHz: 145.9e6 });
  const options = { missions: [BAND_MISSION], sigmfMeta: meta };
  const whole = decodeBytes(data, options);

  test('gives the same, bit for bit, in pieces of any size', () => {
    expect(whole.bursts).toHaveLength(1);
    for (const piece of [1001, 65_536]) expect(decodeBytes(data, options, piece)).toEqual(whole);
  });

  test('gives the same as a WAV file that is declared, without an absolute frequency', () => {
    const wav = Buffer.concat([...band.wav('pcm16')]);
    const { bursts, summary } = decodeBytes(wav, { missions: [BAND_MISSION], iq: { centerHz: null } });
    const [{ burst, frames }] = bursts;
    expect(frames[0].frame.text).toBe(texts[0]);
    const { carrier } = whole.bursts[0].burst;
    expect(burst.carrier).toEqual({ ...carrier, absoluteHz: null });
    expect(carrier?.absoluteHz).toBeCloseTo(145.895e6, -1);
    expect(summary.info.iq).toEqual({ captures: [{ startSeconds: 0, centerHz: null, startedAt: null }] });
    expect(summary.info.encoding).toMatch(/^wav/);
  });

  test('mirrored by a receiver, gives the same text, its polarity the other way round', () => {
    const words = new Int16Array(new Uint8Array(data).buffer);
    for (let i = 1; i < words.length; i += 2) words[i] = Math.max(-32_767, -words[i]);
    const { bursts } = decodeBytes(new Uint8Array(words.buffer), options);
    expect(bursts[0].frames[0].frame.text).toBe(texts[0]);
    expect(bursts[0].burst.reversed).toBe(!whole.bursts[0].burst.reversed);
    expect(bursts[0].burst.carrier?.carrierHz).toBeCloseTo(5000, -1);
  });

  test('that is declared of one channel is refused', () => {
    const mono = encodeWav(new Float32Array(100), { sampleRateHz: 8000, format: 'pcm16' });
    const refused = expect.objectContaining({ code: 'iq-needs-two-channels' });
    expect(() => decodeBytes(mono, { missions: [], iq: { centerHz: null } })).toThrow(refused);
  });
});

describe('a band too wide to be searched as a whole', () => {
  const texts = bandTexts(1);
  const downlinkHz = 146.05e6;
  const { band, meta, data } = bandOf({
    texts,
    modulation: { kind: 'fsk' },
    pass: { ...PASS, closestSeconds: 6 },
    sampleRateHz: 540_000,
    cn0DbHz: 35,
    carrierHz: downlinkHz,
    centerHz: 145.9e6,
    startedAt: STARTED_AT,
  });
  const { beacon } = BAND_MISSION;

  test('is read about the downlinks of its missions, its carriers counted from its own middle, and that is said', () => {
    const options = { missions: [{ ...BAND_MISSION, beacon: { ...beacon, downlinkHz } }], sigmfMeta: meta };
    const { bursts, summary } = decodeBytes(data, options, 1 << 20);
    expectPass(bursts, texts, band);
    const [{ burst }] = bursts;
    expect(Math.abs((burst.markHz + burst.spaceHz) / 2 - band.carrierAt(burst.carrier?.seconds ?? 0))).toBeLessThan(5);
    expect(summary.problems).toEqual([
      { code: 'band-narrowed', message: expect.stringContaining('144 kHz about 146.050 MHz'), atSeconds: null },
    ]);
  });
});
