import { type Command, Option } from 'commander';
import type { ChannelFaults } from '../../../decoders/simulate/index.ts';
import { CommandError } from '../exit.ts';
import { parseNumber, parsePositive } from '../numbers.ts';
import type { Speech } from './speech.ts';

/** What the options that `addFaultOptions` adds are given as. */
export interface FaultOptions {
  readonly ebN0?: number;
  readonly drift: number;
  readonly clockPpm: number;
  readonly imbalance: number;
  readonly fading?: 'flat' | 'selective';
  readonly fadingSpread?: number;
  readonly ricianK?: number;
  readonly fmCnr?: number;
  readonly fmIf?: number;
  readonly fmDeviation?: number;
  readonly speech?: string;
  readonly speechLevel: number;
  readonly speechOver: boolean;
}

/** Where nobody says more than that there is fading, or FM: a slow path, and the usual narrow-band voice channel. */
const USUAL = { spreadHz: 0.2, ifBandwidthHz: 15_000, peakDeviationHz: 3000 };

export function addFaultOptions(command: Command): Command {
  return command
    .option('--eb-n0 <db>', 'add white noise so that Eb/N0 is this (default: none)', parseNumber)
    .option('--drift <hz/s>', 'let the tones drift', parseNumber, 0)
    .option('--clock-ppm <ppm>', "let the recorder's clock run fast by so much", parseNumber, 0)
    .option('--imbalance <db>', 'make the mark tone so much stronger than the space tone', parseNumber, 0)
    .addOption(
      new Option('--fading <kind>', 'let both tones fade together, or each alone').choices(['flat', 'selective']),
    )
    .option(
      '--fading-spread <hz>',
      `Doppler spread of the fading, twice the standard deviation (default: ${USUAL.spreadHz})`,
      parsePositive,
    )
    .option('--rician-k <db>', 'steady over scattered power of the fading (default: nothing is steady)', parseNumber)
    .option('--fm-cnr <db-hz>', 'send the tones by FM, with this C/N0 of the carrier, in place of --eb-n0', parseNumber)
    .option('--fm-if <hz>', `width of the FM receiver's IF filter (default: ${USUAL.ifBandwidthHz})`, parsePositive)
    .option(
      '--fm-deviation <hz>',
      `peak deviation of the FM carrier (default: ${USUAL.peakDeviationHz})`,
      parsePositive,
    )
    .option('--speech <file>', 'mix a WAV recording in, over and over, silent while the beacon sends')
    .option('--speech-level <db>', 'power of that recording against the beacon', parseNumber, 6)
    .option('--speech-over', 'let that recording go on while the beacon sends', false);
}

/**
 * The faults that the options ask for.
 *
 * @throws CommandError `missing-option` for details of something that was not asked for.
 */
export function faultsOf(options: FaultOptions, speech: Speech | null): ChannelFaults {
  const fading = fadingOf(options);
  const fmLink = fmLinkOf(options);
  return {
    ...(options.ebN0 === undefined ? {} : { ebN0Db: options.ebN0 }),
    driftHzPerSecond: options.drift,
    clockPpm: options.clockPpm,
    imbalanceDb: options.imbalance,
    ...(fading === undefined ? {} : { fading }),
    ...(fmLink === undefined ? {} : { fmLink }),
    ...(speech === null ? {} : { speech: { ...speech, levelDb: options.speechLevel, overBursts: options.speechOver } }),
  };
}

function fadingOf({ fading: kind, fadingSpread, ricianK }: FaultOptions): ChannelFaults['fading'] {
  if (kind === undefined) {
    refuse({ '--fading-spread': fadingSpread, '--rician-k': ricianK }, '--fading flat or --fading selective');
    return undefined;
  }
  return { kind, spreadHz: fadingSpread ?? USUAL.spreadHz, ...(ricianK === undefined ? {} : { ricianKDb: ricianK }) };
}

function fmLinkOf({ fmCnr, fmIf, fmDeviation }: FaultOptions): ChannelFaults['fmLink'] {
  if (fmCnr === undefined) {
    refuse({ '--fm-if': fmIf, '--fm-deviation': fmDeviation }, '--fm-cnr');
    return undefined;
  }
  return {
    cn0DbHz: fmCnr,
    ifBandwidthHz: fmIf ?? USUAL.ifBandwidthHz,
    peakDeviationHz: fmDeviation ?? USUAL.peakDeviationHz,
  };
}

function refuse(given: Readonly<Record<string, number | undefined>>, needed: string): void {
  const [first] = Object.entries(given).filter(([, value]) => value !== undefined);
  if (first === undefined) return;
  throw new CommandError('missing-option', `${first[0]} ${first[1]} does nothing alone; give ${needed} as well`);
}
