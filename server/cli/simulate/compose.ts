import type { Alphabet, Beacon } from '../../../decoders/mission/types.ts';
import { gainForLevel, keyBurst, meanPower, mixInto, noiseSigma, Random } from '../../../decoders/simulate/index.ts';
import { encode } from '../../../decoders/teletype/alphabets.ts';

/** How a beacon keys its text. */
export interface Transmitter {
  readonly markHz: number;
  readonly spaceHz: number;
  readonly baud: number;
  readonly stopElements: number;
  readonly alphabet: Alphabet;
  readonly unshiftOnSpace: boolean;
  readonly repeatShifts: number;
}

export interface ChannelFaults {
  /** Null for no noise at all. */
  readonly ebN0Db: number | null;
  readonly driftHzPerSecond: number;
  readonly clockPpm: number;
  /** Another sound over the whole recording, its power in dB above the beacon's. */
  readonly speech: { readonly samples: Float32Array; readonly levelDb: number } | null;
  readonly seed: number;
}

export interface Composition {
  readonly transmitter: Transmitter;
  readonly sampleRateHz: number;
  readonly pauseSeconds: number;
  readonly faults: ChannelFaults;
}

/** Where a definition leaves the choice: the commonest speed and shift in the middle of a voice channel. */
const USUAL = { baud: 45.45, shiftHz: 170, centreHz: 1360, stopElements: 1.5 };
const AMPLITUDE = 0.5;
/** Power of a tone of that amplitude. */
const SIGNAL_POWER = AMPLITUDE ** 2 / 2;
const IDLE_ELEMENTS = 8;
/** Nothing may be cut off when samples become 16-bit numbers. */
const HIGHEST_SAMPLE = 0.95;

/** The transmitter that a definition describes (null for none), with usual values where it says nothing. */
export function transmitterOf(beacon: Beacon | null, given: Partial<Transmitter>): Transmitter {
  const { baud = USUAL.baud, stopElements = USUAL.stopElements, shiftHz = USUAL.shiftHz } = beacon ?? {};
  const { markHz = USUAL.centreHz - shiftHz / 2, spaceHz = markHz + shiftHz } = beacon ?? {};
  return {
    markHz,
    spaceHz,
    baud,
    stopElements,
    alphabet: beacon?.alphabet ?? 'ita2',
    unshiftOnSpace: beacon?.shifts.unshiftOnSpace ?? false,
    repeatShifts: beacon?.shifts.repeat ?? 1,
    ...given,
  };
}

/** The samples of a recording in which the texts are sent one after the other, -1..1. */
export function composeRecording(texts: readonly string[], composition: Composition): Float32Array {
  const { transmitter, sampleRateHz, pauseSeconds, faults } = composition;
  const { alphabet, unshiftOnSpace, repeatShifts, ...keying } = transmitter;
  const bursts = texts.map((text) =>
    keyBurst(encode(text, alphabet, { unshiftOnSpace, repeatShifts, startShift: 'unknown' }), {
      ...keying,
      sampleRateHz,
      amplitude: AMPLITUDE,
      leadMarkElements: IDLE_ELEMENTS,
      tailMarkElements: IDLE_ELEMENTS,
      rampSeconds: 0.005,
      driftHzPerSecond: faults.driftHzPerSecond,
      clockPpm: faults.clockPpm,
    }),
  );
  const pause = Math.round(pauseSeconds * sampleRateHz);
  const length = bursts.reduce((sum, burst) => sum + burst.length + pause, pause);
  const samples = new Float32Array(length);
  let at = pause;
  for (const burst of bursts) {
    mixInto(samples, burst, at);
    at += burst.length + pause;
  }
  addFaults(samples, composition);
  fitInto(samples, HIGHEST_SAMPLE);
  return samples;
}

function addFaults(samples: Float32Array, { transmitter: { baud }, sampleRateHz, faults }: Composition): void {
  const { speech, ebN0Db, seed } = faults;
  if (speech !== null) {
    const gain = gainForLevel(meanPower(speech.samples), SIGNAL_POWER, speech.levelDb);
    for (let at = 0; at < samples.length; at += speech.samples.length) mixInto(samples, speech.samples, at, gain);
  }
  if (ebN0Db !== null) {
    const sigma = noiseSigma({ ebN0Db, baud, sampleRateHz, signalPower: SIGNAL_POWER });
    new Random(seed).branch('noise').addGaussian(samples, sigma);
  }
}

function fitInto(samples: Float32Array, most: number): void {
  const peak = samples.reduce((highest, sample) => Math.max(highest, Math.abs(sample)), 0);
  if (peak <= most) return;
  for (let i = 0; i < samples.length; i++) samples[i] *= most / peak;
}
