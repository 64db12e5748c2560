import { ensure } from './ensure.ts';
import { checkFading, type FadingOptions } from './fading.ts';
import { checkFmLink, type FmLink } from './fm-link.ts';
import { toneAmplitudes } from './transmitter.ts';

/** What happens in the sender, on the way and in the recorder. */
export interface ChannelFaults {
  /** White noise over the whole recording; none when left out. With fading, of the mean Eb. Not with an FM link. */
  readonly ebN0Db?: number;
  /** The tones of each burst move so much, through their stated frequencies at its middle. Default 0. */
  readonly driftHzPerSecond?: number;
  /** The recorder's clock runs fast by so much. Default 0. */
  readonly clockPpm?: number;
  /** Power of the mark tone over that of the space tone; the mean of the two powers stays. Default 0. */
  readonly imbalanceDb?: number;
  /** The path's gain changes, its mean power being one: `flat` = of both tones together, `selective` = of each alone. */
  readonly fading?: FadingOptions & { readonly kind: 'flat' | 'selective' };
  /**
   * The tones modulate a carrier, which alone is in noise and fades, and which is off between the bursts: the recording is
   * what a discriminator gives. Default: they come as they are, as through a receiver for single sideband.
   */
  readonly fmLink?: FmLink;
  readonly speech?: {
    readonly samples: Float32Array;
    readonly sampleRateHz: number;
    /** Mean power over that of the tones. Default 6 dB. */
    readonly levelDb?: number;
    /** Over the bursts as well; default false: it pauses for them, as on a channel that is listened to. */
    readonly overBursts?: boolean;
  };
}

/**
 * @throws FiveunitError `faults-conflict` for faults that exclude each other; `bad-fading`, `bad-fm-link`, `bad-tones` for
 * values out of range.
 */
export function checkFaults({ ebN0Db, fading, fmLink, imbalanceDb = 0 }: ChannelFaults): void {
  if (fading !== undefined) checkFading(fading);
  if (fmLink !== undefined) {
    checkFmLink(fmLink);
    ensure(
      ebN0Db === undefined,
      'faults-conflict',
      `Eb/N0 (${ebN0Db} dB) and an FM link are both given; over FM the noise is stated by C/N0 alone`,
    );
    ensure(
      fading?.kind !== 'selective',
      'faults-conflict',
      'selective fading and an FM link are both given; over FM the one carrier fades, so ask for flat fading',
    );
  }
  toneAmplitudes({ imbalanceDb });
}

/** The faults in words, for the recording itself. */
export function describeFaults({
  ebN0Db,
  fmLink,
  driftHzPerSecond = 0,
  clockPpm = 0,
  imbalanceDb = 0,
  fading,
  speech,
}: ChannelFaults): string {
  const details = [
    fmLink === undefined ? (ebN0Db === undefined ? 'no noise' : `Eb/N0 ${ebN0Db} dB`) : describeFmLink(fmLink),
    `drift ${driftHzPerSecond} Hz/s`,
    `clock ${clockPpm} ppm`,
    ...(imbalanceDb === 0 ? [] : [`mark over space ${imbalanceDb} dB`]),
    ...(fading === undefined ? [] : [describeFading(fading)]),
    ...(speech === undefined ? [] : ['speech mixed in']),
  ];
  return details.join(', ');
}

function describeFmLink({ cn0DbHz, ifBandwidthHz, peakDeviationHz }: FmLink): string {
  return `FM C/N0 ${cn0DbHz} dB-Hz, IF ${ifBandwidthHz} Hz, deviation ${peakDeviationHz} Hz`;
}

function describeFading({ kind, spreadHz, ricianKDb }: NonNullable<ChannelFaults['fading']>): string {
  const law = ricianKDb === undefined ? 'Rayleigh' : `Rician (K ${ricianKDb} dB)`;
  return `${kind} ${law} fading of ${spreadHz} Hz`;
}
