import { toBaseband } from '../signal/burst-baseband.ts';
import { BurstElements } from '../signal/burst-elements.ts';
import type { BurstLevel } from '../signal/burst-level.ts';
import { STEPS_PER_ELEMENT } from '../teletype/timing.ts';
import { characterSeconds, type Keying, keyingAt } from './keying.ts';

/** The end of a stream of samples. */
export interface SampleWindow {
  readonly samples: Float32Array;
  readonly sampleRateHz: number;
  readonly startSeconds: number;
}

/** The same, to be asked element by element; let its elements rest when nothing more is asked. */
export interface TunedWindow {
  readonly startSeconds: number;
  readonly endSeconds: number;
  /** At the window's end. */
  readonly keying: Keying;
  readonly elements: BurstElements;
  /** Amplitude of a tone whose level is one. */
  readonly amplitudeOfLevel: number;
}

/** Log-likelihoods over noise of what starts at each point of time; whoever makes the next one takes its memory. */
export interface WindowGrid {
  readonly mark: Float64Array;
  readonly space: Float64Array;
  readonly count: number;
  readonly characterSteps: number;
  readonly stepSeconds: number;
}

/** A first guess of the level looks at so many elements before the end: a sender may have begun only then. */
const GUESSED_ELEMENTS = 30;

/** @param level as the window before had it; null to guess it. */
export function tuneWindow(window: SampleWindow, keying: Keying, level: BurstLevel | null): TunedWindow {
  const { samples, sampleRateHz, startSeconds } = window;
  const endSeconds = startSeconds + samples.length / sampleRateHz;
  const now = keyingAt(keying, endSeconds);
  const { baud, driftHzPerSecond } = now;
  const elementSeconds = 1 / baud;
  const shiftHz = now.markHz - now.spaceHz;
  const baseband = toBaseband(samples, {
    sampleRateHz,
    startSeconds,
    centreHz: (now.markHz + now.spaceHz) / 2,
    centreSeconds: endSeconds,
    driftHzPerSecond,
    baud,
    shiftHz: Math.abs(shiftHz),
  });
  const tones = { markOffsetHz: shiftHz / 2, spaceOffsetHz: -shiftHz / 2 };
  const elements = new BurstElements(baseband, tones, elementSeconds, level ?? undefined);
  if (level === null) elements.guessLevel(endSeconds - GUESSED_ELEMENTS * elementSeconds, endSeconds);
  return { startSeconds, endSeconds, keying: now, elements, amplitudeOfLevel: 2 / (elementSeconds * baseband.rateHz) };
}

/** Kept from one to the next. */
let [marks, spaces] = [new Float64Array(0), new Float64Array(0)];

/** Elements that start anywhere in a window, at the level its elements have. */
export function weighWindow({ elements, startSeconds, endSeconds, keying }: TunedWindow): WindowGrid {
  const period = characterSeconds(keying);
  const characterSteps = Math.round((period * STEPS_PER_ELEMENT) / elements.elementSeconds);
  const stepSeconds = period / characterSteps;
  const count = Math.max(1, Math.floor((endSeconds - startSeconds) / stepSeconds));
  if (marks.length < count) [marks, spaces] = [new Float64Array(count), new Float64Array(count)];
  const mark = marks.subarray(0, count);
  const space = spaces.subarray(0, count);
  elements.evidenceGrid(startSeconds, stepSeconds, mark, space);
  return { mark, space, count, characterSteps, stepSeconds };
}
