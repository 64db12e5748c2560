import { describe, expect, it } from 'vitest';
import { meanPower } from '../../../decoders/simulate/channel.ts';
import type { ChannelFaults } from '../../../decoders/simulate/faults.ts';
import { speech } from '../../../decoders/simulate/material/speech.ts';
import type { SimulatedRecordingOptions } from '../../../decoders/simulate/recording.ts';
import { simulateRecording } from '../../../decoders/simulate/recording.ts';
import { take } from '../../../decoders/simulate/source.ts';
import reference from '../../reference/fsk-ber.json';
import { readAll } from '../audio/wav-file.ts';
import { tonePower } from './goertzel.ts';

const options: SimulatedRecordingOptions = {
  texts: ['Q0DUN P 00042', 'Q0DUN P 00043'],
  keying: { alphabet: 'ita2', baud: 45.45, markHz: 1275, spaceHz: 1445, stopElements: 1.5 },
  intervalSeconds: 8,
  sampleRateHz: 8000,
};

function render(changes: Partial<SimulatedRecordingOptions> = {}) {
  const recording = simulateRecording({ ...options, ...changes });
  const file = new Uint8Array(Buffer.concat([...recording.wav()]));
  const read = readAll(file);
  const samples = Float32Array.from(read.channels[0]);
  const between = (from: number, to: number) =>
    samples.subarray(Math.round(from * recording.sampleRateHz), Math.round(to * recording.sampleRateHz));
  return { recording, file, read, samples, between };
}

/** Hard decisions at the element centres, with known timing: the codes of a clean burst. */
function readCodes(samples: Float32Array, startSeconds: number, count: number): number[] {
  const element = 8000 / 45.45;
  return Array.from({ length: count }, (_, c) => {
    let code = 0;
    for (let bit = 0; bit < 5; bit++) {
      const centre = startSeconds * 8000 + (10 + c * 7.5 + 1.5 + bit) * element;
      const [from, to] = [Math.round(centre - element / 3), Math.round(centre + element / 3)];
      if (tonePower(samples, 1275, 8000, from, to) > tonePower(samples, 1445, 8000, from, to)) code |= 1 << bit;
    }
    return code;
  });
}

/** What matched filters for both tones make of each data element, with known timing. */
function elementPowers(changes: Partial<SimulatedRecordingOptions>) {
  const { recording, samples } = render(changes);
  return recording.bursts.flatMap(({ codes, startSeconds }) =>
    codes.flatMap((code, c) =>
      Array.from({ length: 5 }, (_, bit) => {
        const from = Math.round(8000 * (startSeconds + (10 + 7.5 * c + 1 + bit) / 45.45));
        const [mark, space] = [1275, 1445].map((hz) => tonePower(samples, hz, 8000, from, from + 176));
        const isMark = ((code >> bit) & 1) === 1;
        return { isMark, sent: isMark ? mark : space, other: isMark ? space : mark };
      }),
    ),
  );
}

function average(values: readonly number[]): number {
  return values.reduce((sum, x) => sum + x, 0) / values.length;
}

describe('simulateRecording', () => {
  it('sends each text at its interval, in a file that says it is simulated', () => {
    const { recording, read, file, samples, between } = render({ startedAt: '2031-04-05T06:07:08Z' });
    expect(recording.bursts.map((burst) => burst.text)).toEqual(options.texts);
    const [first, second] = recording.bursts;
    expect(first.startSeconds).toBeCloseTo(2, 3);
    expect(second.startSeconds).toBeCloseTo(10, 3);
    for (const burst of recording.bursts) {
      expect(readCodes(samples, burst.startSeconds, burst.codes.length)).toEqual(burst.codes);
      expect(meanPower(between(burst.startSeconds + 0.1, burst.endSeconds - 0.1))).toBeCloseTo(0.125, 3);
    }
    expect(meanPower(between(first.endSeconds + 0.01, second.startSeconds - 0.01))).toBe(0);
    expect(read.channels[0].length).toBe(recording.frames);
    expect(read.problems).toEqual([]);
    expect(read.info).toMatchObject({ sampleRateHz: 8000, startedAt: { iso: '2031-04-05T06:07:08.000Z' } });
    expect(String.fromCharCode(...file.subarray(0, 1500))).toContain(
      'Simulated by fiveunit, received from no satellite',
    );
  });

  it('begins a text with its shift, whatever went before', () => {
    // Letters and figures shift: 31 and 27, "4" is 10 in figures case (CCITT S.1).
    expect(simulateRecording({ ...options, texts: ['4'] }).bursts[0].codes).toEqual([27, 10]);
  });

  it('sends fill, repeated shifts, and shifts again after spaces as it is told', () => {
    const keying = { ...options.keying, fillLetters: 2, repeatShifts: 2, unshiftOnSpace: true };
    expect(simulateRecording({ ...options, texts: ['4 4'], keying }).bursts[0].codes).toEqual([
      31, 31, 27, 27, 10, 4, 27, 27, 10, 31, 31,
    ]);
  });

  it.each([
    { ebN0Db: 10 },
    { fading: { kind: 'selective', spreadHz: 1 } },
    { fading: { kind: 'flat', spreadHz: 1 }, fmLink: { cn0DbHz: 40, ifBandwidthHz: 9000, peakDeviationHz: 3000 } },
  ] as const)('gives the same bytes for the same seed, again and again, and others for another: %j', (faults) => {
    const changes = {
      faults,
      keying: { ...options.keying, phase: 'random', mostGapElements: 2 },
    } as const;
    const recording = simulateRecording({ ...options, ...changes });
    const first = Buffer.concat([...recording.wav()]);
    const bytes = (seed: number) => Buffer.concat([...simulateRecording({ ...options, ...changes, seed }).wav()]);
    expect(first.equals(Buffer.concat([...recording.wav()]))).toBe(true);
    expect(first.equals(bytes(1))).toBe(true);
    expect(first.equals(bytes(2))).toBe(false);
  });

  it.each([4, 8])('sets noise to %d dB Eb/N0', (ebN0Db) => {
    // Of a matched filter on the sent tone the mean power is Eb/N0 + 1 times that on the other one.
    let sent = 0;
    let other = 0;
    for (const element of elementPowers({ faults: { ebN0Db }, texts: ['RY '.repeat(130)] })) {
      sent += element.sent;
      other += element.other;
    }
    // 2000 elements: 2 to 3 % for each sum, 0.15 dB together.
    expect(Math.abs(10 * Math.log10(sent / other - 1) - ebN0Db)).toBeLessThan(0.4);
  });

  it.each(['flat', 'selective'] as const)('fades: elements are wrong as often as %s Rayleigh fading says', (kind) => {
    const faults = { ebN0Db: 10, fading: { kind, spreadHz: 2 } };
    const elements = elementPowers({ faults, texts: Array(6).fill('RY '.repeat(130)), intervalSeconds: 70 });
    const errors = elements.filter(({ sent, other }) => other > sent).length;
    // Tests/reference/fsk-ber.json (Proakis): 1 / (2 + Eb/N0). Some 700 independent fades: 4 %, and 3 % from counting.
    const [row] = reference.rayleigh.filter((each) => each.mean_ebn0_db === 10);
    expect(Math.abs(errors / elements.length / row.noncoherent_rayleigh - 1)).toBeLessThan(0.2);
  });

  it('fades both tones together or each alone', () => {
    const correlation = (kind: 'flat' | 'selective') => {
      const elements = elementPowers({ faults: { fading: { kind, spreadHz: 1 } }, texts: ['RY'.repeat(300)] });
      // In R and Y every second element at least is the other tone: neighbours show both tones at nearly the same time.
      const pairs = elements.flatMap((element, i) => {
        const next = elements[i + 1];
        return next === undefined || element.isMark === next.isMark ? [] : [[element.sent, next.sent]];
      });
      const [a, b] = [0, 1].map((side) => {
        const values = pairs.map((pair) => pair[side]);
        const mean = average(values);
        return values.map((x) => x - mean);
      });
      const product = (x: number[], y: number[]) => average(x.map((value, i) => value * y[i]));
      return product(a, b) / Math.sqrt(product(a, a) * product(b, b));
    };
    expect(correlation('flat')).toBeGreaterThan(0.95);
    // 80 s of 1 Hz: a standard error of 0.1.
    expect(Math.abs(correlation('selective'))).toBeLessThan(0.3);
  });

  it('makes one tone stronger', () => {
    const elements = elementPowers({ faults: { imbalanceDb: 6 }, texts: ['RY'.repeat(20)] });
    const [mark, space] = [true, false].map((isMark) =>
      average(elements.filter((element) => element.isMark === isMark).map((element) => element.sent)),
    );
    expect(10 * Math.log10(mark / space)).toBeCloseTo(6, 1);
  });

  describe('over an FM link', () => {
    const fmLink = { cn0DbHz: 50, ifBandwidthHz: 15_000, peakDeviationHz: 3000 };

    it('gives what a discriminator gives: the bursts in their places, noise without a carrier between them', () => {
      const { recording, samples, between, read } = render({ faults: { fmLink } });
      expect(read.problems).toEqual([]);
      const [first, second] = recording.bursts;
      for (const burst of recording.bursts) {
        expect(readCodes(samples, burst.startSeconds, burst.codes.length)).toEqual(burst.codes);
      }
      const tones = meanPower(between(first.startSeconds + 0.1, first.endSeconds - 0.1));
      const pause = meanPower(between(first.endSeconds + 0.01, second.startSeconds - 0.01));
      expect(pause).toBeGreaterThan(2 * tones);
      // Within a few samples of the burst's start the noise is gone.
      const start = between(first.startSeconds - 0.1, first.startSeconds + 0.1);
      const loud = start.findLastIndex((x) => Math.abs(x) > 0.15);
      expect(Math.abs(loud - 800)).toBeLessThan(20);
    });

    it('lets the carrier fade, and the noise come up with it', () => {
      const texts = ['RY '.repeat(40)];
      const powers = (faults: ChannelFaults) => {
        const { recording, between } = render({ faults, texts, seed: 3 });
        const [{ startSeconds, endSeconds }] = recording.bursts;
        const seconds = Math.floor((endSeconds - startSeconds - 0.2) * 20);
        return Array.from({ length: seconds }, (_, i) =>
          meanPower(between(startSeconds + 0.1 + i / 20, startSeconds + 0.15 + i / 20)),
        );
      };
      const still = powers({ fmLink });
      const fading = powers({ fmLink, fading: { kind: 'flat', spreadHz: 1 } });
      // A limiter takes the fading from the tones; what is left are bursts of noise.
      expect(Math.max(...still)).toBeLessThan(1.3 * average(still));
      expect(Math.min(...fading)).toBeGreaterThan(0.7 * average(still));
      expect(Math.max(...fading)).toBeGreaterThan(2 * average(still));
    });
  });

  it('keeps within full scale, however much noise there is', () => {
    const { read } = render({ faults: { ebN0Db: -10 }, sampleRateHz: 48_000, texts: ['RY'] });
    expect(read.problems).toEqual([]);
    const beyond = read.channels[0].filter((x) => Math.abs(x) > 0.999).length;
    expect(beyond).toBeLessThan(3);
    expect(Math.max(...read.channels[0].slice(0, 50_000))).toBeGreaterThan(0.5);
  });

  it('makes the characters wait when the sender is slow', () => {
    const keying = { ...options.keying, mostGapElements: 3 };
    const lengths = simulateRecording({ ...options, keying }).bursts.map((b) => b.endSeconds - b.startSeconds);
    const plain = simulateRecording(options).bursts.map((b) => b.endSeconds - b.startSeconds);
    const codes = simulateRecording(options).bursts[0].codes.length;
    for (const [i, length] of lengths.entries()) {
      const gaps = (length - plain[i]) * 45.45;
      expect(gaps).toBeGreaterThan(0.5 * codes);
      expect(gaps).toBeLessThan(2.5 * codes);
    }
    expect(lengths[0]).not.toBe(lengths[1]);
  });

  it('stretches everything with the clock and moves the tones with the drift', () => {
    const { recording, between } = render({
      faults: { clockPpm: 10_000, driftHzPerSecond: 30 },
      texts: ['RYRYRYRYRY'],
    });
    const [burst] = recording.bursts;
    expect(burst.startSeconds).toBeCloseTo(2.02, 3);
    expect(burst.endSeconds - burst.startSeconds).toBeCloseTo(((20 + 75 + 7.5) / 45.45) * 1.01, 3);
    // Idle mark at the end: 30 Hz/s over half the burst above 1275 Hz, and 1 % lower.
    const end = between(burst.endSeconds - 0.15, burst.endSeconds - 0.05);
    const hz = (1275 + (30 * (burst.endSeconds - burst.startSeconds)) / 2 - 3) / 1.01;
    expect(tonePower(end, hz, 8000)).toBeGreaterThan(0.12);
  });

  it('mixes speech in at its level, between the bursts or over them', () => {
    const talk = { samples: take(speech({ sampleRateHz: 11_025, seed: 1 }), 11_025 * 10), sampleRateHz: 11_025 };
    const silent = render({ faults: { speech: { ...talk, levelDb: 10 } } });
    const [first, second] = silent.recording.bursts;
    const tonesAlone = meanPower(silent.between(first.startSeconds + 0.1, first.endSeconds - 0.1));
    const [gapStart, gapEnd] = [first.endSeconds + 0.4, second.startSeconds - 0.4];
    expect(meanPower(silent.between(gapStart, gapEnd))).toBeGreaterThan(2 * tonesAlone);
    expect(meanPower(silent.between(first.endSeconds + 0.01, first.endSeconds + 0.25))).toBe(0);
    expect(silent.read.channels[0].every((x) => Math.abs(x) < 0.999)).toBe(true);
    const over = render({ faults: { speech: { ...talk, levelDb: 10, overBursts: true } } });
    expect(meanPower(over.between(first.startSeconds, second.endSeconds))).toBeGreaterThan(3 * tonesAlone);
  });

  it('keys an identification before the text', () => {
    const keying = { ...options.keying, identification: 'Q0' };
    const plain = simulateRecording(options).bursts[0];
    const { recording, between } = render({ keying });
    const [burst] = recording.bursts;
    // Q is 13 dots, 0 is 19, 3 between them, 7 after them: 42 dots of 60 ms.
    expect(burst.endSeconds - burst.startSeconds - (plain.endSeconds - plain.startSeconds)).toBeCloseTo(42 * 0.06, 6);
    const power = tonePower(between(burst.startSeconds + 0.02, burst.startSeconds + 0.16), 1275, 8000);
    expect(power).toBeGreaterThan(0.12);
  });

  it.each([
    ['interval-too-short', { intervalSeconds: 2 }],
    ['character-not-in-alphabet', { texts: ['q0dun'] }],
    ['bad-tones', { sampleRateHz: 2000 }],
    ['bad-keying', { keying: { ...options.keying, baud: 0 } }],
    ['bad-fading', { faults: { fading: { kind: 'flat', spreadHz: 0 } } }],
    ['faults-conflict', { faults: { ebN0Db: 3, fmLink: { cn0DbHz: 50, ifBandwidthHz: 9000, peakDeviationHz: 3000 } } }],
    ['no-morse-sign', { keying: { ...options.keying, identification: '!' } }],
    ['bad-start', { startedAt: 'noon' }],
  ] as const)('refuses with %s before anything is written', (code, changes) => {
    expect(() => simulateRecording({ ...options, ...changes })).toThrow(expect.objectContaining({ code }));
  });
});
