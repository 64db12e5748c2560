import { type Command, Option } from 'commander';
import type { ReceiverTuning } from '../../decoders/audio/types.ts';
import type { DecodeOptions } from '../../decoders/decode.ts';
import { parseNumber, parsePositive } from './numbers.ts';

/** What is said on the command line of recordings as complex bands. */
export interface BandOptions {
  readonly iq?: true | number;
  readonly tuning?: ReceiverTuning['mode'];
  readonly referencePpm?: number;
}

/** Adds `--iq`, `--tuning` and `--reference-ppm`. */
export function withBandOptions(command: Command): Command {
  return command
    .option('--iq [centre-hz]', 'two channels are I and Q of a complex band, with this frequency at zero', parseNumber)
    .addOption(
      new Option('--tuning <how>', 'how the receiver of a complex band was tuned').choices([
        'fixed',
        'doppler-corrected',
        'retuned',
      ]),
    )
    .option('--reference-ppm <ppm>', "by how much that receiver's reference may be off", parsePositive);
}

/** The same, as decoders take it. */
export function bandOptions({ iq, tuning, referencePpm }: BandOptions): Pick<DecodeOptions, 'iq' | 'tuning'> {
  const isTold = tuning !== undefined || referencePpm !== undefined;
  return {
    ...(iq === undefined ? {} : { iq: { centerHz: iq === true ? null : iq } }),
    ...(isTold ? { tuning: { mode: tuning ?? 'unknown', referenceErrorPpm: referencePpm ?? null } } : {}),
  };
}

/** The same, as a server takes it beside a recording. */
export interface BandFields {
  readonly iq?: true;
  readonly centerHz?: number;
  readonly tuning?: ReceiverTuning['mode'];
  readonly referenceErrorPpm?: number;
}

export function bandFields({ iq, tuning, referencePpm }: BandOptions): BandFields {
  return {
    ...(iq === undefined ? {} : { iq: true }),
    ...(typeof iq === 'number' ? { centerHz: iq } : {}),
    ...(tuning === undefined ? {} : { tuning }),
    ...(referencePpm === undefined ? {} : { referenceErrorPpm: referencePpm }),
  };
}
