import { ensure } from './ensure.ts';
import type { Gain } from './gain.ts';
import type { KeyingStep, StartStopOptions } from './keying.ts';
import { startStopKeying } from './keying.ts';
import type { Random } from './random.ts';

/**
 * What the phase does when the tone changes: `continuous` = one oscillator that is shifted; `switched` = two
 * free-running oscillators; `random` = a phase drawn anew at each change (needs `random`).
 */
export type PhaseLaw = 'continuous' | 'switched' | 'random';

/** What the tones go through on their way: the same gain for both (flat fading), or one each (selective fading). */
export interface TonePaths {
  readonly mark: Gain;
  readonly space: Gain;
  /** Place of the burst's start in the time of the gains. */
  readonly startSeconds: number;
}

export interface ToneOptions {
  readonly sampleRateHz: number;
  /** Tones at the middle of the burst. Either may be the higher. */
  readonly markHz: number;
  readonly spaceHz: number;
  /** Amplitude of either tone; the power while keyed is amplitude^2 / 2. Default 0.5. */
  readonly amplitude?: number;
  /** Power of the mark tone over that of the space tone, dB; the mean of the two powers stays. Default 0. */
  readonly imbalanceDb?: number;
  /** Default `continuous`. */
  readonly phase?: PhaseLaw;
  /** Phase at the start (of the mark oscillator when `switched`). Default 0. */
  readonly startPhaseRadians?: number;
  /** Phase of the space oscillator at the start when `switched`. Default 0. */
  readonly spacePhaseRadians?: number;
  /** Both tones move by so much, linearly, about the middle of the burst. Default 0. */
  readonly driftHzPerSecond?: number;
  /** The recorder's sample clock runs fast by so much: tones come out lower, elements longer. Default 0. */
  readonly clockPpm?: number;
  /** Place of the burst's start after the first sample, in samples; fractions count. Default 0. */
  readonly startOffsetSamples?: number;
  /** Raised-cosine rise and fall where the sender goes on and off. Default 0. */
  readonly rampSeconds?: number;
  /** Gains on the way, applied to each tone as it was sent: they change nothing in the sender's phases. Default none. */
  readonly paths?: TonePaths;
  /** Source of the phases when `phase` is `random`. */
  readonly random?: Random;
}

export interface BurstOptions extends StartStopOptions, ToneOptions {
  /** Keyed before the text, for instance an identification from `morseKeying`. */
  readonly before?: readonly KeyingStep[];
}

/** Keys five-unit codes (0..31, see `startStopKeying`) as two tones. Returns the samples, first to last. */
export function keyBurst(codes: Uint8Array | readonly number[], options: BurstOptions): Float32Array {
  const { steps } = startStopKeying(codes, options);
  return keyTones(options.before === undefined ? steps : [...options.before, ...steps], options);
}

/**
 * Turns keying into samples. Element borders lie where they lie, between samples too: the phase is integrated exactly
 * from border to border. (Phase jumps are sampled as they are, not band-limited.)
 *
 * @throws FiveunitError `bad-tones` when rate or tones cannot be.
 */
export function keyTones(steps: readonly KeyingStep[], options: ToneOptions): Float32Array {
  const { sampleRateHz, markHz, spaceHz } = options;
  const { phase = 'continuous', driftHzPerSecond = 0, rampSeconds = 0, paths } = options;
  const { startPhaseRadians = 0, spacePhaseRadians = 0, startOffsetSamples = 0, clockPpm = 0, random } = options;
  checkTones(options);
  ensure(startOffsetSamples >= 0, 'bad-tones', `startOffsetSamples is ${startOffsetSamples}; it must be 0 or more`);
  ensure(
    phase !== 'random' || random !== undefined,
    'bad-tones',
    'phase "random" needs a random generator in `random`',
  );

  const amplitudes = toneAmplitudes(options);
  const samplesPerSecond = sampleRateHz * (1 + clockPpm * 1e-6);
  let seconds = 0;
  for (const step of steps) seconds += step.seconds;
  const middle = seconds / 2;
  const samples = new Float32Array(Math.ceil(startOffsetSamples + seconds * samplesPerSecond));

  const startCycles = startPhaseRadians / (2 * Math.PI);
  const spaceCycles = spacePhaseRadians / (2 * Math.PI);
  let stretchEnd = 0;
  let stretchStart = 0;
  let begin = 0;
  let beginCycles = startCycles;
  let lastTone: KeyingStep['tone'] = 'off';
  let n = Math.ceil(startOffsetSamples);
  for (let s = 0; s < steps.length; s++) {
    const { tone, seconds: length } = steps[s];
    const end = begin + length;
    if (tone === 'off') {
      n = Math.max(n, Math.ceil(startOffsetSamples + end * samplesPerSecond));
    } else {
      if (lastTone === 'off') {
        stretchStart = begin;
        stretchEnd = begin;
        for (let t = s; t < steps.length && steps[t].tone !== 'off'; t++) stretchEnd += steps[t].seconds;
      }
      const hz = tone === 'mark' ? markHz : spaceHz;
      const amplitude = amplitudes[tone];
      const path = paths?.[tone];
      if (phase === 'switched') beginCycles = (tone === 'mark' ? startCycles : spaceCycles) + cycles(hz, 0, begin);
      else if (phase === 'random' && tone !== lastTone) beginCycles = random?.uniform() ?? 0;

      for (; n < samples.length; n++) {
        const t = (n - startOffsetSamples) / samplesPerSecond;
        if (t >= end) break;
        const turns = beginCycles + cycles(hz, begin, t);
        const envelope = rampSeconds > 0 ? ramp(Math.min(t - stretchStart, stretchEnd - t) / rampSeconds) : 1;
        const angle = 2 * Math.PI * (turns - Math.floor(turns));
        if (paths === undefined || path === undefined) samples[n] = amplitude * envelope * Math.cos(angle);
        else {
          path.moveTo(paths.startSeconds + (n - startOffsetSamples) / sampleRateHz);
          samples[n] = amplitude * envelope * (path.re * Math.cos(angle) - path.im * Math.sin(angle));
        }
      }
      beginCycles += cycles(hz, begin, end);
      beginCycles -= Math.floor(beginCycles);
    }
    lastTone = tone;
    begin = end;
  }
  return samples;

  /** Turns of a tone between two times, its drift about the middle included. */
  function cycles(hz: number, from: number, to: number): number {
    return (hz + driftHzPerSecond * ((from + to) / 2 - middle)) * (to - from);
  }
}

/** Amplitudes of the two tones. @throws FiveunitError `bad-tones` for an imbalance out of range. */
export function toneAmplitudes({ amplitude = 0.5, imbalanceDb = 0 }: Pick<ToneOptions, 'amplitude' | 'imbalanceDb'>) {
  const isPossible = Math.abs(imbalanceDb) <= 60;
  ensure(isPossible, 'bad-tones', `the tones' imbalance is ${imbalanceDb} dB; it may be -60 to 60 dB`);
  const ratio = 10 ** (imbalanceDb / 10);
  return { mark: amplitude * Math.sqrt((2 * ratio) / (1 + ratio)), space: amplitude * Math.sqrt(2 / (1 + ratio)) };
}

/** @throws FiveunitError `bad-tones` when the rate is none, or a tone does not lie below half of it. */
export function checkTones({ sampleRateHz, markHz, spaceHz }: ToneOptions): void {
  ensure(sampleRateHz > 0 && sampleRateHz < 1e9, 'bad-tones', `sampleRateHz is ${sampleRateHz}; it must be positive`);
  for (const tone of [markHz, spaceHz]) {
    const isBelow = tone > 0 && tone < sampleRateHz / 2;
    ensure(isBelow, 'bad-tones', `a tone is ${tone} Hz; it must lie below half of ${sampleRateHz} Hz`);
  }
}

/** Raised cosine from 0 at 0 to 1 at 1. */
function ramp(x: number): number {
  return x >= 1 ? 1 : x <= 0 ? 0 : 0.5 - 0.5 * Math.cos(Math.PI * x);
}
