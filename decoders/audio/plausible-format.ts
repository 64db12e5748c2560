import { AudioError } from '../errors.ts';

/** Beyond these no sound card or receiver writes; a damaged or hostile header would. */
const RATE_HZ = { least: 4_000, most: 10_000_000 };
const MOST_CHANNELS = 256;

/**
 * Refuses what the header of a recording cannot rightly claim.
 *
 * @param container as people call it, for instance `WAV`.
 * @throws AudioError `channel-count` or `sample-rate`.
 */
export function requirePlausible(container: string, channels: number, sampleRateHz: number): void {
  if (channels < 1 || channels > MOST_CHANNELS) {
    throw new AudioError(
      'channel-count',
      `The ${container} header claims ${channels} channels; 1 to ${MOST_CHANNELS} can be. Save the recording again.`,
    );
  }
  if (!(sampleRateHz >= RATE_HZ.least && sampleRateHz <= RATE_HZ.most)) {
    throw new AudioError(
      'sample-rate',
      `The ${container} header claims ${sampleRateHz} samples a second; ${RATE_HZ.least} to ${RATE_HZ.most} can be. ` +
        'Save the recording again with its true rate.',
    );
  }
}
