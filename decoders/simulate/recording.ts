import { SIMULATED } from '../audio/info-chunk.ts';
import { packSamples, wavHeader } from '../audio/wav-write.ts';
import type { Alphabet } from '../mission/types.ts';
import { CODE_LTRS, encode } from '../teletype/alphabets.ts';
import { gainForLevel, meanPower } from './channel.ts';
import { ensure } from './ensure.ts';
import { startStopKeying } from './keying.ts';
import { morseKeying } from './morse.ts';
import { noiseSigma } from './noise.ts';
import { Random } from './random.ts';
import { resample } from './resample.ts';
import { scene } from './scene.ts';
import type { Source } from './source.ts';
import { loop, mix } from './source.ts';
import type { PhaseLaw } from './transmitter.ts';
import { checkTones, keyBurst } from './transmitter.ts';

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

/** What happens on the way, and in the recorder. */
export interface ChannelFaults {
  /** White noise over the whole recording; none when left out. */
  readonly ebN0Db?: number;
  /** The tones of each burst move so much, through their stated frequencies at its middle. Default 0. */
  readonly driftHzPerSecond?: number;
  /** The recorder's clock runs fast by so much. Default 0. */
  readonly clockPpm?: number;
  readonly speech?: {
    readonly samples: Float32Array;
    readonly sampleRateHz: number;
    /** Mean power over that of the tones. Default 6 dB. */
    readonly levelDb?: number;
    /** Over the bursts as well; default false: it pauses for them, as on a channel that is listened to. */
    readonly overBursts?: boolean;
  };
}

export interface SimulatedRecordingOptions {
  /** One burst each, in order. */
  readonly texts: readonly string[];
  readonly keying: BeaconKeying;
  readonly faults?: ChannelFaults;
  /** From the start of one burst to that of the next. Default 60 s. */
  readonly intervalSeconds?: number;
  /** Before the first burst and after the last. Default 2 s. */
  readonly marginSeconds?: number;
  /** Default 48 000. */
  readonly sampleRateHz?: number;
  /** Of everything random. The same options and seed give the same bytes. Default 1. */
  readonly seed?: number;
  /** ISO 8601 with its zone; written into the file. Default: the file names no time. */
  readonly startedAt?: string;
}

export interface SimulatedBurst {
  readonly text: string;
  readonly codes: readonly number[];
  /** Places in the file, by its own clock, idle mark and identification included. */
  readonly startSeconds: number;
  readonly endSeconds: number;
}

export interface SimulatedRecording {
  readonly bursts: readonly SimulatedBurst[];
  readonly sampleRateHz: number;
  readonly frames: number;
  /** The bytes of a 16-bit WAV file, in pieces that are written one after another. It says inside that it is simulated. */
  wav(): Generator<Uint8Array, void>;
}

const BLOCK_FRAMES = 4096;
const RAMP_SECONDS = 0.003;
const MORSE_DOT_SECONDS = 1.2 / 20;
/** Speech makes room so long before a burst and comes back so long after it. */
const SPEECH_PAUSE_SECONDS = 0.3;

/**
 * A recording of a beacon that sends one text an interval, over a channel with faults. Nothing is rendered before `wav` is
 * read, and then block by block. The tones get the amplitude that noise and speech leave room for, 0.5 at most.
 *
 * @throws FiveunitError `interval-too-short` when bursts would overlap; `character-not-in-alphabet`, `no-morse-sign`,
 * `bad-keying`, `bad-tones` where text or keying cannot be sent; AudioError `bad-start`, `too-long` where no WAV file can
 * hold it.
 */
export function simulateRecording(options: SimulatedRecordingOptions): SimulatedRecording {
  const { texts, keying, faults = {}, intervalSeconds = 60, marginSeconds = 2 } = options;
  const { sampleRateHz = 48_000, seed = 1, startedAt } = options;
  checkTones({ sampleRateHz, ...keying });
  const clock = 1 + (faults.clockPpm ?? 0) * 1e-6;
  const random = new Random(seed);
  const before = keying.identification === undefined ? [] : morseKeying(keying.identification, MORSE_DOT_SECONDS);
  const beforeSeconds = before.reduce((sum, step) => sum + step.seconds, 0);

  const planned = texts.map((text, index) => {
    const own = random.branch(`burst ${index}`);
    const codes = codesOf(text, keying);
    const { mostGapElements = 0, idleMarkElements = 10 } = keying;
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
    const burst: SimulatedBurst = { text, codes, startSeconds, endSeconds: startSeconds + clock * seconds };
    const phases = { startPhaseRadians: own.uniform(0, 2 * Math.PI), spacePhaseRadians: own.uniform(0, 2 * Math.PI) };
    return { burst, startStop, phases, own };
  });
  const bursts = planned.map(({ burst }) => burst);
  const frames = Math.ceil(((bursts.at(-1)?.endSeconds ?? marginSeconds) + marginSeconds) * sampleRateHz);

  const levels = chooseLevels(keying.baud, faults, sampleRateHz);
  const sounds = planned.map(({ burst, startStop, phases, own }) => ({
    startSeconds: burst.startSeconds,
    make: (startOffsetSamples: number) =>
      keyBurst(burst.codes, {
        ...startStop,
        ...phases,
        before,
        sampleRateHz,
        markHz: keying.markHz,
        spaceHz: keying.spaceHz,
        amplitude: levels.amplitude,
        phase: keying.phase ?? 'continuous',
        driftHzPerSecond: faults.driftHzPerSecond ?? 0,
        clockPpm: faults.clockPpm ?? 0,
        startOffsetSamples,
        rampSeconds: RAMP_SECONDS,
        random: own.branch('phases'),
      }),
  }));

  const comment = describe(faults, seed);
  const start = startedAt === undefined ? {} : { startedAt };
  const header = wavHeader({ sampleRateHz, channels: 1, frames, format: 'pcm16', comment, ...start });
  return {
    bursts,
    sampleRateHz,
    frames,
    *wav() {
      const background = mix(
        noise(levels.sigma, random.branch('noise')),
        levels.speech === null ? loop(new Float32Array(0)) : speechAround(levels.speech, bursts, faults, sampleRateHz),
      );
      const whole = scene(background, sounds, sampleRateHz);
      yield header;
      const block = new Float32Array(BLOCK_FRAMES);
      for (let left = frames; left > 0; left -= BLOCK_FRAMES) {
        whole.fill(block);
        yield packSamples([block], Math.min(left, BLOCK_FRAMES), 'pcm16');
      }
    },
  };
}

/** Fill, text, fill; the receiver's case is not known before, so that the text brings its own first shift. */
function codesOf(text: string, keying: BeaconKeying): number[] {
  const { alphabet, unshiftOnSpace = false, repeatShifts = 1, fillLetters = 0 } = keying;
  const fill = new Array<number>(fillLetters).fill(CODE_LTRS);
  return [...fill, ...encode(text, alphabet, { startShift: 'unknown', unshiftOnSpace, repeatShifts }), ...fill];
}

interface Levels {
  readonly amplitude: number;
  readonly sigma: number;
  /** At the recording's rate and at its level; null when there is none. */
  readonly speech: Float32Array | null;
}

/** Noise and speech are set against the tones; then all together are brought within full scale. */
function chooseLevels(baud: number, faults: ChannelFaults, sampleRateHz: number): Levels {
  const signalPower = 0.5;
  const sigma =
    faults.ebN0Db === undefined ? 0 : noiseSigma({ ebN0Db: faults.ebN0Db, baud, sampleRateHz, signalPower });
  const { speech } = faults;
  const talk = speech === undefined ? null : resample(speech.samples, speech.sampleRateHz, sampleRateHz);
  const gain = talk === null ? 0 : gainForLevel(meanPower(talk), signalPower, speech?.levelDb ?? 6);
  let talkPeak = 0;
  for (const x of talk ?? []) talkPeak = Math.max(talkPeak, gain * Math.abs(x));
  // One noise sample in a million lies beyond 4.9 sigma.
  const amplitude = Math.min(0.5, 0.95 / (1 + 4.9 * sigma + talkPeak));
  return { amplitude, sigma: amplitude * sigma, speech: talk?.map((x) => amplitude * gain * x) ?? null };
}

function noise(sigma: number, random: Random): Source {
  return {
    fill(block) {
      block.fill(0);
      if (sigma > 0) random.addGaussian(block, sigma);
    },
  };
}

/** The speech over and over, silent about the bursts unless it is to talk over them. */
function speechAround(
  samples: Float32Array,
  bursts: readonly SimulatedBurst[],
  faults: ChannelFaults,
  sampleRateHz: number,
): Source {
  const talk = loop(samples);
  if (faults.speech?.overBursts === true) return talk;
  const pauses = bursts.map(({ startSeconds, endSeconds }) => ({
    from: (startSeconds - SPEECH_PAUSE_SECONDS) * sampleRateHz,
    to: (endSeconds + SPEECH_PAUSE_SECONDS) * sampleRateHz,
  }));
  let position = 0;
  let next = 0;
  return {
    fill(block) {
      talk.fill(block);
      for (let i = 0; i < block.length; i++, position++) {
        while (next < pauses.length && position >= pauses[next].to) next++;
        if (next < pauses.length && position >= pauses[next].from) block[i] = 0;
      }
    },
  };
}

function describe(faults: ChannelFaults, seed: number): string {
  const details = [
    faults.ebN0Db === undefined ? 'no noise' : `Eb/N0 ${faults.ebN0Db} dB`,
    `drift ${faults.driftHzPerSecond ?? 0} Hz/s`,
    `clock ${faults.clockPpm ?? 0} ppm`,
    ...(faults.speech === undefined ? [] : ['speech mixed in']),
    `seed ${seed}`,
  ];
  return `${SIMULATED}, received from no satellite: ${details.join(', ')}.`;
}
