import type { DemodulatedBurst } from '../../teletype/demodulate.ts';

/** Everything about a burst's signal that a frame's reading depends on, and that is found by climbing its evidence. */
export interface SignalHypothesis {
  /** Start of the first character's start element. */
  readonly startSeconds: number;
  readonly elementSeconds: number;
  readonly stopElements: number;
  /** Added to both tones of the correlators. */
  readonly offsetHz: number;
  /** Added to the distance of space from mark. */
  readonly spreadHz: number;
  /** Both tones move so much, about `middleSeconds`. */
  readonly driftHzPerSecond: number;
  /** Levels of the tones over one element, and noise power there, as in `BurstLevel`. */
  readonly markLevel: number;
  readonly spaceLevel: number;
  readonly noisePower: number;
}

export function characterSecondsOf({ elementSeconds, stopElements }: SignalHypothesis): number {
  return (6 + stopElements) * elementSeconds;
}

/** Correlation with one tone over any stretch of time; the result stands in `re`, `im` until the next. */
export interface Correlator {
  readonly re: number;
  readonly im: number;
  correlate(fromSeconds: number, toSeconds: number): void;
}

export interface CorrelatedTones {
  readonly mark: Correlator;
  readonly space: Correlator;
  readonly markHz: number;
  readonly spaceHz: number;
  /** Time at which the correlators' phases count as zero. */
  readonly originSeconds: number;
  /** Time about which drift turns. */
  readonly middleSeconds: number;
}

/** Turns by which a space sets the phase of a phase-continuous sender back against its mark tone: h, the modulation index, with its sign. */
export function turnsPerSpace(tones: CorrelatedTones, { spreadHz, elementSeconds }: SignalHypothesis): number {
  return (tones.spaceHz + spreadHz - tones.markHz) * elementSeconds;
}

/** What demodulation found of a burst, its clock counted from one of its slots. */
export function hypothesisOf(signal: DemodulatedBurst, fromSlot: number): SignalHypothesis {
  const { elements, soft } = signal;
  return {
    startSeconds: soft.startSeconds[fromSlot],
    elementSeconds: signal.characterSeconds / (6 + signal.stopElements),
    stopElements: signal.stopElements,
    offsetHz: 0,
    spreadHz: 0,
    driftHzPerSecond: 0,
    ...elements.level,
  };
}

/** The tones of a burst as demodulation found them. */
export function correlatedTones({ elements, baseband, centreSeconds }: DemodulatedBurst): CorrelatedTones {
  const { markOffsetHz, spaceOffsetHz } = elements.tones;
  return {
    mark: elements.mark,
    space: elements.space,
    markHz: markOffsetHz,
    spaceHz: spaceOffsetHz,
    originSeconds: baseband.startSeconds,
    middleSeconds: centreSeconds,
  };
}
