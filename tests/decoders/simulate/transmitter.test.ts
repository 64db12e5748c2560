import { describe, expect, it } from 'vitest';
import { Fading } from '../../../decoders/simulate/fading.ts';
import { morseKeying } from '../../../decoders/simulate/morse.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import type { BurstOptions } from '../../../decoders/simulate/transmitter.ts';
import { keyBurst, keyTones } from '../../../decoders/simulate/transmitter.ts';

const options: BurstOptions = {
  sampleRateHz: 8000,
  baud: 45.45,
  stopElements: 1.5,
  markHz: 1275,
  spaceHz: 1445,
};

/** Phase of the tone in turns, by the correlation over a window about `second`. */
function phaseAt(samples: Float32Array, hz: number, second: number, windowSeconds: number, rate = 8000) {
  let re = 0;
  let im = 0;
  const from = Math.round((second - windowSeconds / 2) * rate);
  const to = Math.round((second + windowSeconds / 2) * rate);
  for (let n = from; n < to; n++) {
    const angle = (2 * Math.PI * hz * n) / rate;
    re += samples[n] * Math.cos(angle);
    im -= samples[n] * Math.sin(angle);
  }
  return { turns: Math.atan2(im, re) / (2 * Math.PI), amplitude: (2 * Math.hypot(re, im)) / (to - from) };
}

function circular(a: number, b: number): number {
  const d = a - b;
  return Math.abs(d - Math.round(d));
}

describe('keyBurst', () => {
  it('is a cosine of the asked amplitude, tone and phase while the tone stays', () => {
    const samples = keyTones([{ tone: 'mark', seconds: 1 }], { ...options, amplitude: 0.3, startPhaseRadians: 1 });
    expect(samples.length).toBe(8000);
    for (const n of [0, 1, 4321, 7999]) {
      expect(samples[n]).toBeCloseTo(0.3 * Math.cos((2 * Math.PI * 1275 * n) / 8000 + 1), 6);
    }
  });

  it('lasts as long as its elements, over two thousand characters too', () => {
    const samples = keyBurst(new Uint8Array(2000), options);
    expect(samples.length).toBe(Math.ceil((2000 * 7.5 * 8000) / 45.45));
  });

  it('puts element borders between samples', () => {
    // One character of all space after one element of mark: the phase tells the border to a fraction of a sample.
    const border = 1 / 45.45;
    const samples = keyBurst([0], { ...options, leadMarkElements: 1, startOffsetSamples: 0.3 });
    for (const n of [200, 500, 900]) {
      const t = (n - 0.3) / 8000;
      const cycles = 1275 * border + 1445 * (t - border);
      expect(samples[n]).toBeCloseTo(0.5 * Math.cos(2 * Math.PI * cycles), 5);
    }
  });

  it('gives the last part of a sample its sample', () => {
    const samples = keyTones([{ tone: 'mark', seconds: 1 }], { ...options, startOffsetSamples: 0.5 });
    expect(samples.length).toBe(8001);
    expect(samples[0]).toBe(0);
    expect(samples[8000]).toBeCloseTo(0.5 * Math.cos((2 * Math.PI * 1275 * 7999.5) / 8000), 6);
  });

  it('keeps the phase continuous: no step is larger than the tones allow', () => {
    const random = new Random(5);
    const codes = Uint8Array.from({ length: 200 }, () => random.integer(32));
    const samples = keyBurst(codes, { ...options, driftHzPerSecond: 3 });
    let largest = 0;
    for (let n = 1; n < samples.length; n++) largest = Math.max(largest, Math.abs(samples[n] - samples[n - 1]));
    expect(largest).toBeLessThan(0.5 * 2 * Math.PI * (1445 / 8000) * 1.05);
  });

  it('lets two oscillators run free when switched', () => {
    const samples = keyBurst([0, 31, 0, 31], { ...options, phase: 'switched', spacePhaseRadians: 2 });
    const element = 1 / 45.45;
    const first = phaseAt(samples, 1445, 3 * element, 4 * element);
    const second = phaseAt(samples, 1445, (15 + 3) * element, 4 * element);
    expect(circular(first.turns, 2 / (2 * Math.PI))).toBeLessThan(0.01);
    expect(circular(second.turns, first.turns)).toBeLessThan(0.01);
  });

  it('draws a new phase at each change of tone when random', () => {
    const burst = () => keyBurst([0, 31, 0, 31], { ...options, phase: 'random', random: new Random(9) });
    expect(burst()).toEqual(burst());
    const element = 1 / 45.45;
    const first = phaseAt(burst(), 1445, 3 * element, 4 * element);
    const second = phaseAt(burst(), 1445, (15 + 3) * element, 4 * element);
    expect(circular(second.turns, first.turns)).toBeGreaterThan(0.02);
    expect(() => keyBurst([0], { ...options, phase: 'random' })).toThrow(/random/);
  });

  it('drifts about the middle of the burst', () => {
    const samples = keyTones([{ tone: 'mark', seconds: 4 }], { ...options, driftHzPerSecond: 20 });
    for (const [second, hz] of [
      [0.2, 1275 - 36],
      [2, 1275],
      [3.8, 1275 + 36],
    ]) {
      const a = phaseAt(samples, hz, second - 0.025, 0.05);
      const b = phaseAt(samples, hz, second + 0.025, 0.05);
      expect(circular(a.turns, b.turns)).toBeLessThan(0.01);
      expect(a.amplitude).toBeGreaterThan(0.45);
    }
  });

  it('comes out longer and lower when the recorder runs fast', () => {
    const steps = [{ tone: 'mark', seconds: 10 }] as const;
    const samples = keyTones(steps, { ...options, clockPpm: 200 });
    expect(samples.length).toBe(80_016);
    // 200 ppm of 1275 Hz is 0.255 Hz: half a turn between 2 s and 4 s.
    const lag = phaseAt(samples, 1275, 2, 0.1).turns - phaseAt(samples, 1275, 4, 0.1).turns;
    expect(circular(lag, 0.255 * 2)).toBeLessThan(0.01);
  });

  it('rises and falls without a click where it goes on and off', () => {
    const samples = keyTones(
      [
        { tone: 'mark', seconds: 0.1 },
        { tone: 'off', seconds: 0.05 },
        { tone: 'space', seconds: 0.1 },
      ],
      { ...options, rampSeconds: 0.01 },
    );
    expect(Math.abs(samples[4])).toBeLessThan(0.01);
    expect(Math.abs(samples[799])).toBeLessThan(0.01);
    expect(samples.subarray(800, 1200).every((x) => x === 0)).toBe(true);
    expect(Math.max(...samples.subarray(300, 400))).toBeGreaterThan(0.49);
  });

  it('makes one tone stronger than the other and keeps their mean power', () => {
    const steps = [
      { tone: 'mark', seconds: 0.5 },
      { tone: 'space', seconds: 0.5 },
    ] as const;
    for (const imbalanceDb of [6, -3, 0]) {
      const samples = keyTones(steps, { ...options, amplitude: 0.4, imbalanceDb });
      const [mark, space] = [phaseAt(samples, 1275, 0.25, 0.4), phaseAt(samples, 1445, 0.75, 0.4)];
      expect(20 * Math.log10(mark.amplitude / space.amplitude)).toBeCloseTo(imbalanceDb, 2);
      expect((mark.amplitude ** 2 + space.amplitude ** 2) / 2).toBeCloseTo(0.16, 4);
    }
  });

  describe('over paths that fade', () => {
    const path = (seed: number) => new Fading({ spreadHz: 5 }, new Random(seed));
    const codes = [0, 31, 10, 21];
    const faded = (mark: Fading, space: Fading, startSeconds = 0) =>
      keyBurst(codes, { ...options, startOffsetSamples: 0.25, paths: { mark, space, startSeconds } });
    const inPhase = keyBurst(codes, { ...options, startOffsetSamples: 0.25 });
    const aQuarterLater = keyBurst(codes, {
      ...options,
      startOffsetSamples: 0.25,
      startPhaseRadians: Math.PI / 2,
    });

    it('applies one gain to both tones and leaves the phase of the sender continuous', () => {
      const both = path(3);
      const samples = faded(both, both, 7);
      const twin = path(3);
      samples.forEach((x, n) => {
        if (n === 0) return;
        twin.moveTo(7 + (n - 0.25) / 8000);
        expect(x).toBeCloseTo(twin.re * inPhase[n] + twin.im * aQuarterLater[n], 6);
      });
    });

    it('applies a gain of its own to each tone', () => {
      const samples = faded(path(3), path(4));
      const [mark, space] = [faded(path(3), path(3)), faded(path(4), path(4))];
      const element = 8000 / 45.45;
      samples.forEach((x, n) => {
        const place = (n - 0.25) / element;
        const bit = Math.floor(place % 7.5) - 1;
        const isMark = bit === -1 ? false : bit >= 5 || ((codes[Math.floor(place / 7.5)] >> bit) & 1) === 1;
        expect(x).toBe((isMark ? mark : space)[n]);
      });
      expect(mark).not.toEqual(space);
    });
  });

  it('keys what stands before the text first', () => {
    const before = morseKeying('Q0', 0.06);
    const seconds = before.reduce((sum, step) => sum + step.seconds, 0);
    const samples = keyBurst([31, 31], { ...options, before });
    expect(samples.length).toBe(Math.ceil((seconds + 15 / 45.45) * 8000));
  });

  it.each([
    [{ sampleRateHz: 0 }, 'bad-tones'],
    [{ sampleRateHz: Number.NaN }, 'bad-tones'],
    [{ markHz: 4000 }, 'bad-tones'],
    [{ spaceHz: -5 }, 'bad-tones'],
    [{ startOffsetSamples: -1 }, 'bad-tones'],
    [{ imbalanceDb: Number.NaN }, 'bad-tones'],
    [{ baud: 0 }, 'bad-keying'],
    [{ stopElements: 0.5 }, 'bad-keying'],
    [{ leadMarkElements: Number.NaN }, 'bad-keying'],
  ])('refuses %j', (wrong, code) => {
    expect(() => keyBurst([0], { ...options, ...wrong })).toThrow(expect.objectContaining({ code }));
  });
});
