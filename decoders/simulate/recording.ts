import { SIMULATED } from '../audio/info-chunk.ts';
import { packSamples, wavHeader } from '../audio/wav-write.ts';
import type { BeaconKeying, SimulatedBurst } from './burst-plan.ts';
import { planBursts } from './burst-plan.ts';
import type { ChannelFaults } from './faults.ts';
import { checkFaults, describeFaults } from './faults.ts';
import { chooseLevels } from './levels.ts';
import { Random } from './random.ts';
import { reception } from './reception.ts';
import { checkTones } from './transmitter.ts';

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

export interface SimulatedRecording {
  readonly bursts: readonly SimulatedBurst[];
  readonly sampleRateHz: number;
  readonly frames: number;
  /** The bytes of a 16-bit WAV file, in pieces that are written one after another. It says inside that it is simulated. */
  wav(): Generator<Uint8Array, void>;
}

const BLOCK_FRAMES = 4096;

/**
 * A recording of a beacon that sends one text an interval, over a channel with faults. Nothing is rendered before `wav` is
 * read, and then block by block. The tones get the amplitude that noise, fading, clicks and speech leave room for, 0.5 at
 * most.
 *
 * @throws FiveunitError `interval-too-short` when bursts would overlap; `character-not-in-alphabet`, `no-morse-sign`,
 * `bad-keying`, `bad-tones` where text or keying cannot be sent; `bad-fading`, `bad-fm-link`, `faults-conflict` for a
 * channel that cannot be; AudioError `bad-start`, `too-long` where no WAV file can hold it.
 */
export function simulateRecording(options: SimulatedRecordingOptions): SimulatedRecording {
  const { texts, keying, faults = {}, intervalSeconds = 60, marginSeconds = 2 } = options;
  const { sampleRateHz = 48_000, seed = 1, startedAt } = options;
  checkTones({ sampleRateHz, ...keying });
  checkFaults(faults);
  const random = new Random(seed);
  const planned = planBursts({ texts, keying, faults, intervalSeconds, marginSeconds, sampleRateHz, random });
  const bursts = planned.map(({ key, ...burst }) => burst);
  const frames = Math.ceil(((bursts.at(-1)?.endSeconds ?? marginSeconds) + marginSeconds) * sampleRateHz);
  const levels = chooseLevels(keying.baud, faults, sampleRateHz);

  const comment = `${SIMULATED}, received from no satellite: ${describeFaults(faults)}, seed ${seed}.`;
  const start = startedAt === undefined ? {} : { startedAt };
  const header = wavHeader({ sampleRateHz, channels: 1, frames, format: 'pcm16', comment, ...start });
  return {
    bursts,
    sampleRateHz,
    frames,
    *wav() {
      const heard = reception({ bursts: planned, faults, levels, sampleRateHz, random });
      yield header;
      const block = new Float32Array(BLOCK_FRAMES);
      for (let left = frames; left > 0; left -= BLOCK_FRAMES) {
        heard.fill(block);
        yield packSamples([block], Math.min(left, BLOCK_FRAMES), 'pcm16');
      }
    },
  };
}
