import { SIMULATED } from '../audio/info-chunk.ts';
import { packSamples, type WavSampleFormat, wavHeader } from '../audio/wav-write.ts';
import { type BandModulation, band } from './band.ts';
import { type BeaconKeying, planBursts, type SimulatedBurst } from './burst-plan.ts';
import type { ChannelFaults } from './faults.ts';
import { checkFaults } from './faults.ts';
import { complexNoiseSigma } from './noise.ts';
import { NO_DOPPLER, type Pass, passDoppler } from './pass-doppler.ts';
import { Random } from './random.ts';
import { checkTones } from './transmitter.ts';

export interface SimulatedBandOptions {
  /** One burst each, in order. */
  readonly texts: readonly string[];
  /** The tones; of a keyed carrier only their distance and which is the higher counts. */
  readonly keying: BeaconKeying;
  readonly modulation: BandModulation;
  /** Of the carrier's noise; none when left out. */
  readonly cn0DbHz?: number;
  /** What happens in sender and recorder. */
  readonly faults?: Pick<ChannelFaults, 'clockPpm' | 'imbalanceDb'>;
  /** Frequency of the carrier as sent. Default 145.9 MHz. */
  readonly carrierHz?: number;
  /** Frequency that stands at zero. Default: the carrier's. */
  readonly centerHz?: number;
  /** Default: the satellite stands still. */
  readonly pass?: Pass;
  readonly intervalSeconds?: number;
  readonly marginSeconds?: number;
  readonly sampleRateHz?: number;
  readonly seed?: number;
  /** ISO 8601 with its zone. Default: the recording names no time. */
  readonly startedAt?: string;
}

/** `pcm16` is ci16_le, `float32` is cf32_le. */
export type BandSampleFormat = WavSampleFormat;

export interface SimulatedBand {
  readonly bursts: readonly SimulatedBurst[];
  readonly sampleRateHz: number;
  readonly frames: number;
  /** Where the carrier stands in the band at a time. */
  carrierAt(seconds: number): number;
  /** I and Q in turn, as a SigMF data file holds them, in pieces that are written one after another. */
  samples(format: BandSampleFormat): Generator<Uint8Array, void>;
  /** Text of the metadata that belongs to `samples`. */
  sigmfMeta(format: BandSampleFormat): string;
  /** The bytes of a WAV file of two channels. */
  wav(format: BandSampleFormat): Generator<Uint8Array, void>;
}

const BLOCK_FRAMES = 4096;

/**
 * A recording of the band around a beacon that sends one text an interval, its carrier moved by a pass's Doppler. It says inside
 * that it is simulated. Nothing is rendered before it is read, and then block by block.
 *
 * @throws FiveunitError as `simulateRecording` does, and `bad-pass`.
 */
export function simulateBand(options: SimulatedBandOptions): SimulatedBand {
  const { texts, keying, modulation, faults = {}, intervalSeconds = 60, marginSeconds = 2, pass, startedAt } = options;
  const { sampleRateHz = 48_000, seed = 1, cn0DbHz = null, carrierHz = 145.9e6, centerHz = carrierHz } = options;
  checkTones({ sampleRateHz, ...keying });
  checkFaults(faults);
  const doppler = pass === undefined ? NO_DOPPLER : passDoppler(pass, carrierHz);
  const random = new Random(seed);
  const planned = planBursts({ texts, keying, faults, intervalSeconds, marginSeconds, sampleRateHz, random });
  const frames = Math.ceil(((planned.at(-1)?.endSeconds ?? marginSeconds) + marginSeconds) * sampleRateHz);
  const noise = cn0DbHz === null ? 0 : complexNoiseSigma(cn0DbHz, sampleRateHz);
  // Four standard deviations of the noise beside the carrier find room.
  const gain = 0.9 / (1 + 4 * noise);
  const ratio = cn0DbHz === null ? '' : `, C/N0 ${cn0DbHz} dB-Hz`;
  const comment = `${SIMULATED}, received from no satellite: I/Q, ${modulation.kind}${ratio}, clock ${faults.clockPpm ?? 0} ppm, seed ${seed}.`;

  function* packed(format: BandSampleFormat): Generator<Uint8Array, void> {
    const source = band({
      bursts: planned,
      modulation,
      tonesMiddleHz: (keying.markHz + keying.spaceHz) / 2,
      turnsAt: (seconds) => (carrierHz - centerHz) * seconds + doppler.turnsAt(seconds),
      cn0DbHz,
      sampleRateHz,
      random: new Random(seed).branch('noise'),
    });
    const re = new Float32Array(BLOCK_FRAMES);
    const im = new Float32Array(BLOCK_FRAMES);
    for (let left = frames; left > 0; left -= BLOCK_FRAMES) {
      source.fill(re, im);
      for (let i = 0; i < BLOCK_FRAMES; i++) {
        re[i] *= gain;
        im[i] *= gain;
      }
      yield packSamples([re, im], Math.min(left, BLOCK_FRAMES), format);
    }
  }

  return {
    bursts: planned.map(({ key, ...burst }) => burst),
    sampleRateHz,
    frames,
    carrierAt: (seconds) => carrierHz - centerHz + doppler.hzAt(seconds),
    samples: packed,
    sigmfMeta(format) {
      const datetime = startedAt === undefined ? {} : { 'core:datetime': new Date(startedAt).toISOString() };
      const global = {
        'core:datatype': format === 'pcm16' ? 'ci16_le' : 'cf32_le',
        'core:sample_rate': sampleRateHz,
        'core:version': '1.2.5',
        'core:description': comment,
      };
      const captures = [{ 'core:sample_start': 0, 'core:frequency': centerHz, ...datetime }];
      return `${JSON.stringify({ global, captures, annotations: [] }, null, 2)}\n`;
    },
    *wav(format) {
      const start = startedAt === undefined ? {} : { startedAt };
      yield wavHeader({ sampleRateHz, channels: 2, frames, format, comment, ...start });
      yield* packed(format);
    },
  };
}
