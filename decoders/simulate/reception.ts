import type { PlannedBurst } from './burst-plan.ts';
import { Fading } from './fading.ts';
import type { ChannelFaults } from './faults.ts';
import { fmLink } from './fm-link.ts';
import { KeyedCarrier } from './keyed-carrier.ts';
import type { Levels } from './levels.ts';
import type { Random } from './random.ts';
import type { PlacedSound } from './scene.ts';
import { scene } from './scene.ts';
import type { Source } from './source.ts';
import { loop, mix } from './source.ts';
import { speechAround } from './speech-around.ts';
import type { TonePaths } from './transmitter.ts';

export interface ReceptionOptions {
  readonly bursts: readonly PlannedBurst[];
  readonly faults: ChannelFaults;
  readonly levels: Levels;
  readonly sampleRateHz: number;
  readonly random: Random;
}

/** What the recorder hears: the bursts over a channel with its faults, and the speech on it. */
export function reception({ bursts, faults, levels, sampleRateHz, random }: ReceptionOptions): Source {
  const { fading } = faults;
  const { amplitude } = levels;
  const speech =
    levels.speech === null
      ? silence()
      : speechAround(levels.speech, bursts, faults.speech?.overBursts ?? false, sampleRateHz);
  if (faults.fmLink === undefined) {
    const background = mix(noise(levels.sigma, random.branch('noise')), speech);
    return scene(background, placed(bursts, sampleRateHz, amplitude, tonePaths(fading, random)), sampleRateHz);
  }
  const link = fmLink({
    ...faults.fmLink,
    modulationAt: (rateHz) => scene(silence(), placed(bursts, rateHz, 1, null), rateHz),
    carrier: new KeyedCarrier(bursts, fading === undefined ? null : new Fading(fading, random.branch('fading'))),
    audioRateHz: sampleRateHz,
    amplitude,
    random: random.branch('noise'),
  });
  return mix(link, speech);
}

type Paths = Pick<TonePaths, 'mark' | 'space'>;

function tonePaths(fading: ChannelFaults['fading'], random: Random): Paths | null {
  if (fading === undefined) return null;
  const mark = new Fading(fading, random.branch('fading'));
  return { mark, space: fading.kind === 'flat' ? mark : new Fading(fading, random.branch('fading of the space tone')) };
}

/** Bursts as sounds of a scene. */
export function placed(
  bursts: readonly PlannedBurst[],
  sampleRateHz: number,
  amplitude: number,
  paths: Paths | null,
): PlacedSound[] {
  return bursts.map(({ startSeconds, key }) => ({
    startSeconds,
    make: (startOffsetSamples) =>
      key({
        sampleRateHz,
        amplitude,
        startOffsetSamples,
        ...(paths === null ? {} : { paths: { ...paths, startSeconds } }),
      }),
  }));
}

/** Nothing, without end. */
export function silence(): Source {
  return loop(new Float32Array(0));
}

function noise(sigma: number, random: Random): Source {
  return {
    fill(block) {
      block.fill(0);
      if (sigma > 0) random.addGaussian(block, sigma);
    },
  };
}
