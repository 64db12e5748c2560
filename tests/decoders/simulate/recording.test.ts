import { describe, expect, it } from 'vitest';
import { meanPower } from '../../../decoders/simulate/channel.ts';
import { speech } from '../../../decoders/simulate/material/speech.ts';
import type { SimulatedRecordingOptions } from '../../../decoders/simulate/recording.ts';
import { simulateRecording } from '../../../decoders/simulate/recording.ts';
import { take } from '../../../decoders/simulate/source.ts';
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

  it('gives the same bytes for the same seed, again and again, and others for another', () => {
    const changes = {
      faults: { ebN0Db: 10 },
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
    const { recording, samples } = render({ faults: { ebN0Db }, texts: ['RY '.repeat(130)] });
    const [burst] = recording.bursts;
    // Of a matched filter on the sent tone the mean power is Eb/N0 + 1 times that on the other one.
    let sent = 0;
    let other = 0;
    burst.codes.forEach((code, c) => {
      for (let bit = 0; bit < 5; bit++) {
        const start = burst.startSeconds + (10 + 7.5 * c + 1 + bit) / 45.45;
        const [from, to] = [Math.round(8000 * start), Math.round(8000 * start) + 176];
        const [mark, space] = [1275, 1445].map((hz) => tonePower(samples, hz, 8000, from, to));
        sent += (code >> bit) & 1 ? mark : space;
        other += (code >> bit) & 1 ? space : mark;
      }
    });
    // 2000 elements: 2 to 3 % for each sum, 0.15 dB together.
    expect(Math.abs(10 * Math.log10(sent / other - 1) - ebN0Db)).toBeLessThan(0.4);
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
    ['no-morse-sign', { keying: { ...options.keying, identification: '!' } }],
    ['bad-start', { startedAt: 'noon' }],
  ])('refuses with %s before anything is written', (code, changes) => {
    expect(() => simulateRecording({ ...options, ...changes })).toThrow(expect.objectContaining({ code }));
  });
});
