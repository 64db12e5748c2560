import { type Command, Option } from 'commander';
import type { BandModulation, BandSampleFormat, Pass, SimulatedBandOptions } from '../../../decoders/simulate/index.ts';
import { CommandError } from '../exit.ts';
import { parsePositive } from '../numbers.ts';
import type { FaultOptions } from './faults.ts';

/** What the options that `addBandOptions` adds are given as. */
export interface BandOptions {
  readonly iq?: BandModulation['kind'];
  readonly carrier?: number;
  readonly centre?: number;
  readonly passHeight?: number;
  readonly passElevation?: number;
  readonly samples?: 'ci16' | 'cf32';
}

/** Where nobody says anything: the usual narrow-band deviation, and the amateur band at 2 m. */
const USUAL = { peakDeviationHz: 3000, carrierHz: 145.9e6, maxElevationDegrees: 90 };

export function addBandOptions(command: Command): Command {
  return command
    .addOption(
      new Option(
        '--iq <kind>',
        'write the band around the beacon, I and Q: the carrier keyed, or modulated by the tones',
      ).choices(['fsk', 'fm']),
    )
    .option('--carrier <hz>', 'frequency of the carrier (default: as the mission says, else 145.9 MHz)', parsePositive)
    .option('--centre <hz>', "frequency at the band's middle (default: the carrier's)", parsePositive)
    .option(
      '--pass-height <km>',
      'move the carrier with the Doppler of a pass from an orbit of this height',
      parsePositive,
    )
    .option('--pass-elevation <degrees>', 'highest elevation of that pass (default: 90)', parsePositive)
    .addOption(
      new Option('--samples <type>', 'type of the samples of a band (default: ci16)').choices(['ci16', 'cf32']),
    );
}

/** How to write a band: to a WAV file, or to a SigMF pair, whichever of its files is named. */
export interface BandFiles {
  readonly samples: string;
  /** Null for WAV. */
  readonly meta: string | null;
  readonly format: BandSampleFormat;
}

export function bandFiles(out: string, { samples = 'ci16' }: BandOptions): BandFiles {
  const format = samples === 'ci16' ? 'pcm16' : 'float32';
  const stem = ['.sigmf-meta', '.sigmf-data'].find((ending) => out.endsWith(ending));
  if (stem === undefined) return { samples: out, meta: null, format };
  const name = out.slice(0, -stem.length);
  return { samples: `${name}.sigmf-data`, meta: `${name}.sigmf-meta`, format };
}

/**
 * What the options ask of a band; null where they ask for none.
 *
 * @param middleSeconds of the recording, where a pass comes closest.
 * @throws CommandError `missing-option`, and `wrong-option` for what a band has no part of.
 */
export function bandOf(
  { iq, carrier, centre, passHeight, passElevation, samples, ...faults }: BandOptions & FaultOptions,
  { baud, downlinkHz, middleSeconds }: { baud: number; downlinkHz: number | undefined; middleSeconds: number },
): Pick<SimulatedBandOptions, 'modulation' | 'cn0DbHz' | 'carrierHz' | 'centerHz' | 'pass' | 'faults'> | null {
  if (iq === undefined) {
    const given = { carrier, centre, 'pass-height': passHeight, 'pass-elevation': passElevation, samples };
    refuse(given, 'missing-option', 'does nothing alone; give --iq as well');
    return null;
  }
  const { ebN0, fmCnr, fmIf, fmDeviation, fading, speech, drift, clockPpm, imbalance } = faults;
  const never = { fading, speech, 'fm-if': fmIf, drift: drift === 0 ? undefined : drift };
  refuse(never, 'wrong-option', 'does not go with --iq');
  if (iq === 'fsk') refuse({ 'fm-cnr': fmCnr, 'fm-deviation': fmDeviation }, 'wrong-option', 'goes with --iq fm');
  else refuse({ 'eb-n0': ebN0 }, 'wrong-option', 'goes with --iq fsk; give --fm-cnr');
  if (passHeight === undefined) {
    refuse({ 'pass-elevation': passElevation }, 'missing-option', 'does nothing alone; give --pass-height as well');
  }
  const carrierHz = carrier ?? downlinkHz ?? USUAL.carrierHz;
  // The energy of an element against the carrier's power: Eb = C / baud.
  const cn0DbHz = iq === 'fm' ? fmCnr : ebN0 === undefined ? undefined : ebN0 + 10 * Math.log10(baud);
  const pass: Pass | undefined =
    passHeight === undefined
      ? undefined
      : {
          heightKm: passHeight,
          maxElevationDegrees: passElevation ?? USUAL.maxElevationDegrees,
          closestSeconds: middleSeconds,
        };
  return {
    modulation: iq === 'fm' ? { kind: iq, peakDeviationHz: fmDeviation ?? USUAL.peakDeviationHz } : { kind: iq },
    carrierHz,
    centerHz: centre ?? carrierHz,
    faults: { clockPpm, imbalanceDb: imbalance },
    ...(cn0DbHz === undefined ? {} : { cn0DbHz }),
    ...(pass === undefined ? {} : { pass }),
  };
}

function refuse(given: Readonly<Record<string, string | number | undefined>>, code: string, why: string): void {
  const [first] = Object.entries(given).filter(([, value]) => value !== undefined);
  if (first !== undefined) throw new CommandError(code, `--${first[0]} ${first[1]} ${why}`);
}
