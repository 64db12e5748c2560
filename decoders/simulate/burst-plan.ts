import type { Alphabet } from '../mission/types.ts';
import { CODE_LTRS, encode } from '../teletype/alphabets.ts';
import { ensure } from './ensure.ts';
import type { ChannelFaults } from './faults.ts';
import { startStopKeying } from './keying.ts';
import { morseKeying } from './morse.ts';
import type { Random } from './random.ts';
import type { PhaseLaw, TonePaths } from './transmitter.ts';
import { keyBurst } from './transmitter.ts';

/** How the beacon keys its texts. */
export interface BeaconKeying {
  readonly alphabet: Alphabet;
  readonly baud: number;
  readonly markHz: number;
  readonly spaceHz: number;
  readonly stopElements: number;
  /** Default `continuous`. */
  readonly phase?: PhaseLaw;
  readonly unshiftOnSpace?: boolean;
  /** How often each shift code is sent. Default 1. */
  readonly repeatShifts?: number;
  /** Idle mark before and after the text. Default 10 elements. */
  readonly idleMarkElements?: number;
  /** Letters-shift codes before and after the text, as fill. Default 0. */
  readonly fillLetters?: number;
  /** Each character waits for a random time up to this. Default 0. */
  readonly mostGapElements?: number;
  /** Keyed in Morse (20 words a minute) before the text. Default none. */
  readonly identification?: string;
}

export interface SimulatedBurst {
  readonly text: string;
  readonly codes: readonly number[];
  /** Places in the file, by its own clock, idle mark and identification included. */
  readonly startSeconds: number;
  readonly endSeconds: number;
}

/** A burst whose every property is drawn, but for the samples. */
export interface PlannedBurst extends SimulatedBurst {
  /** Makes the samples, at any rate and strength: the same burst each time. */
  readonly key: (as: BurstRendering) => Float32Array;
}

export interface BurstRendering {
  readonly sampleRateHz: number;
  readonly amplitude: number;
  /** As `keyBurst` takes it. */
  readonly startOffsetSamples: number;
  readonly paths?: TonePaths;
}

export interface BurstPlanOptions {
  /** One burst each, in order. */
  readonly texts: readonly string[];
  readonly keying: BeaconKeying;
  readonly faults: ChannelFaults;
  readonly intervalSeconds: number;
  readonly marginSeconds: number;
  readonly sampleRateHz: number;
  readonly random: Random;
}

const RAMP_SECONDS = 0.003;
const MORSE_DOT_SECONDS = 1.2 / 20;

/**
 * Draws when each burst begins, how long its characters wait and its phases.
 *
 * @throws FiveunitError `interval-too-short` when bursts would overlap; `character-not-in-alphabet`, `no-morse-sign`,
 * `bad-keying` where text or keying cannot be sent.
 */
export function planBursts(options: BurstPlanOptions): PlannedBurst[] {
  const { texts, keying, faults, intervalSeconds, marginSeconds, sampleRateHz, random } = options;
  const { driftHzPerSecond = 0, clockPpm = 0, imbalanceDb = 0 } = faults;
  const { mostGapElements = 0, idleMarkElements = 10, phase = 'continuous' } = keying;
  const clock = 1 + clockPpm * 1e-6;
  const before = keying.identification === undefined ? [] : morseKeying(keying.identification, MORSE_DOT_SECONDS);
  const beforeSeconds = before.reduce((sum, step) => sum + step.seconds, 0);

  return texts.map((text, index) => {
    const own = random.branch(`burst ${index}`);
    const codes = codesOf(text, keying);
    const startStop = {
      baud: keying.baud,
      stopElements: keying.stopElements,
      leadMarkElements: idleMarkElements,
      tailMarkElements: idleMarkElements,
      gapElements: codes.map(() => own.uniform(0, mostGapElements)),
    };
    const seconds = beforeSeconds + startStopKeying(codes, startStop).seconds;
    ensure(
      seconds <= intervalSeconds || texts.length === 1,
      'interval-too-short',
      `burst ${index + 1} lasts ${seconds.toFixed(1)} s, longer than the interval of ${intervalSeconds} s; lengthen it`,
    );
    // A transmitter knows nothing of the recorder's samples: every burst begins somewhere between two.
    const startSeconds = clock * (marginSeconds + index * intervalSeconds) + own.uniform() / sampleRateHz;
    const phases = { startPhaseRadians: own.uniform(0, 2 * Math.PI), spacePhaseRadians: own.uniform(0, 2 * Math.PI) };
    return {
      text,
      codes,
      startSeconds,
      endSeconds: startSeconds + clock * seconds,
      key: (as) =>
        keyBurst(codes, {
          ...startStop,
          ...phases,
          ...as,
          before,
          markHz: keying.markHz,
          spaceHz: keying.spaceHz,
          phase,
          imbalanceDb,
          driftHzPerSecond,
          clockPpm,
          rampSeconds: RAMP_SECONDS,
          random: own.branch('phases'),
        }),
    };
  });
}

/** Fill, text, fill; the receiver's case is not known before, so that the text brings its own first shift. */
function codesOf(text: string, keying: BeaconKeying): number[] {
  const { alphabet, unshiftOnSpace = false, repeatShifts = 1, fillLetters = 0 } = keying;
  const fill = new Array<number>(fillLetters).fill(CODE_LTRS);
  return [...fill, ...encode(text, alphabet, { startShift: 'unknown', unshiftOnSpace, repeatShifts }), ...fill];
}
