import { gainForLevel, meanPower } from './channel.ts';
import type { ChannelFaults } from './faults.ts';
import { noiseSigma } from './noise.ts';
import { resample } from './resample.ts';
import { toneAmplitudes } from './transmitter.ts';

export interface Levels {
  /** Of the tones: mean power amplitude^2 / 2. */
  readonly amplitude: number;
  /** Of the noise beside them. */
  readonly sigma: number;
  /** At the recording's rate and at its level; null when there is none. */
  readonly speech: Float32Array | null;
}

/** Fading seldom lifts a tone higher: the power is ten times its mean in 5e-5 of the time (Rayleigh). */
const FADING_PEAK = Math.sqrt(10);

/** Noise and speech are set against the tones; then all together are brought within full scale, the tones to 0.5 at most. */
export function chooseLevels(baud: number, faults: ChannelFaults, sampleRateHz: number): Levels {
  const signalPower = 0.5;
  const { ebN0Db, speech } = faults;
  const sigma = ebN0Db === undefined ? 0 : noiseSigma({ ebN0Db, baud, sampleRateHz, signalPower });
  const talk = speech === undefined ? null : resample(speech.samples, speech.sampleRateHz, sampleRateHz);
  const gain = talk === null ? 0 : gainForLevel(meanPower(talk), signalPower, speech?.levelDb ?? 6);
  let talkPeak = 0;
  for (const x of talk ?? []) talkPeak = Math.max(talkPeak, gain * Math.abs(x));
  // One noise sample in a million lies beyond 4.9 sigma.
  const amplitude = Math.min(0.5, 0.95 / (beaconPeak(faults) + 4.9 * sigma + talkPeak));
  return { amplitude, sigma: amplitude * sigma, speech: talk?.map((x) => amplitude * gain * x) ?? null };
}

/** Highest value of what carries the tones, for tones of amplitude one. */
function beaconPeak({ fmLink, fading, imbalanceDb = 0 }: ChannelFaults): number {
  // Clicks and the noise without a carrier go far beyond the IF filter's edges, seldom beyond twice its width.
  if (fmLink !== undefined) return (2 * fmLink.ifBandwidthHz) / fmLink.peakDeviationHz;
  const { mark, space } = toneAmplitudes({ amplitude: 1, imbalanceDb });
  return Math.max(mark, space) * (fading === undefined ? 1 : FADING_PEAK);
}
