import { SigmfDataReader } from '../../../decoders/audio/sigmf/data.ts';
import { parseSigmfDatatype } from '../../../decoders/audio/sigmf/datatype.ts';
import type { AudioBlock, AudioProblem } from '../../../decoders/audio/types.ts';
import type { DecodeEvent } from '../../../decoders/decode.ts';
import type { Mission } from '../../../decoders/mission/types.ts';
import { SampleDecoder } from '../../../decoders/sample-decoder.ts';
import { CommandError } from '../exit.ts';

/** Types of complex samples by their SigMF names, bytes of I and Q together. */
export const BAND_TYPES: Readonly<Record<string, number>> = {
  cu8: 2,
  ci8: 2,
  ci16_le: 4,
  cu16_le: 4,
  ci32_le: 8,
  cu32_le: 8,
  cf32_le: 8,
  cf64_le: 16,
};
/** The same by the names that sound has. */
const OF_SOUND: Readonly<Record<string, string>> = {
  u8: 'cu8',
  s16le: 'ci16_le',
  s32le: 'ci32_le',
  f32le: 'cf32_le',
  f64le: 'cf64_le',
};

export interface BandStream {
  readonly rateHz: number;
  /** A SigMF name: see `bandType`. */
  readonly type: string;
  /** Frequency at zero; null when not known. */
  readonly centerHz: number | null;
  /** When the first sample was received, ISO 8601. */
  readonly startedAt: string;
  readonly missions: readonly Mission[];
}

/** @throws CommandError `encoding-not-complex`. */
export function bandType(encoding: string): string {
  const type = OF_SOUND[encoding] ?? encoding;
  if (type in BAND_TYPES) return type;
  const known = [...Object.keys(OF_SOUND), ...Object.keys(BAND_TYPES)].join(', ');
  throw new CommandError('encoding-not-complex', `--encoding ${encoding}: I and Q come as one of ${known}`);
}

type BurstEvent = Extract<DecodeEvent, { type: 'burst' }>;

/** Bare samples of a complex band in, I and Q in turn, as they come; bursts out when they are settled. */
export class BandListening {
  readonly #reader: SigmfDataReader;
  readonly #decoder: SampleDecoder;
  readonly #tell: (event: DecodeEvent) => void;

  /** @throws FiveunitError `sample-rate-out-of-range` with the first samples. */
  constructor({ rateHz, type, centerHz, startedAt, missions }: BandStream, onBurst: (event: BurstEvent) => void) {
    const datatype = parseSigmfDatatype(type);
    if (datatype === null) throw new RangeError(`${type} is no SigMF type`);
    const captures = [{ startFrame: 0, headerBytes: 0, centerHz, datetime: startedAt }];
    const layout = { datatypeName: type, datatype, numbers: 2, sampleRateHz: rateHz, captures };
    this.#reader = new SigmfDataReader({ ...layout, trailingBytes: 0, simulated: false }, null);
    const band = this.#reader.info.iq;
    this.#decoder = new SampleDecoder({ missions, startedAt, sampleRateHz: rateHz, band });
    this.#tell = (event) => {
      if (event.type === 'burst') onBurst(event);
    };
  }

  /** What is to be said of how the band is read, once samples have come. */
  get problem(): AudioProblem | null {
    return this.#decoder.bandProblem;
  }

  take(bytes: Uint8Array): void {
    this.#reader.push(bytes, (block: AudioBlock) => this.#decoder.take(block));
    this.#decoder.settle(this.#tell);
  }

  end(): void {
    this.#reader.end((block) => this.#decoder.take(block));
    this.#decoder.end(this.#tell);
  }
}
