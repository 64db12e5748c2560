import { PREPARE_BYTES, prepareAudio } from '../../../decoders/audio/prepare.ts';
import { packSamples, wavHeader } from '../../../decoders/audio/wav-write.ts';
import { bandFacts, cutOut, findBursts, readingOf } from '../../../decoders/cut-outs/index.ts';
import type { DecodeOptions } from '../../../decoders/decode.ts';
import { DECODER_VERSION } from '../../../decoders/decoder-version.ts';
import { FiveunitError } from '../../../decoders/errors.ts';
import type { Mission } from '../../../decoders/mission/types.ts';
import type { BrowserSound } from './browser-sound.ts';
import type { CutOutFound, CutOutSource } from './cut-outs-by-worker.ts';

export interface CutOutJob {
  readonly source: CutOutSource;
  readonly missions: readonly Mission[];
  readonly startedAt: string | null;
  /** What its sender says of it as a complex band. */
  readonly band: Pick<DecodeOptions, 'iq' | 'tuning'>;
}

export type CutOutNote =
  | { readonly type: 'share'; readonly share: number; readonly bursts: number }
  | { readonly type: 'cut-out'; readonly found: CutOutFound }
  | { readonly type: 'done' }
  | { readonly type: 'failed'; readonly code: string; readonly message: string };

const PIECE_BYTES = 2 ** 18;
const PIECE_FRAMES = 2 ** 15;
const SOFTWARE = 'fiveunit in a browser';

const tell = (note: CutOutNote): void => self.postMessage(note);

self.onmessage = ({ data }: MessageEvent<CutOutJob>): void => {
  work(data).then(
    () => tell({ type: 'done' }),
    (error: unknown) => {
      const code = error instanceof FiveunitError ? error.code : 'decoder-broke';
      tell({ type: 'failed', code, message: error instanceof Error ? error.message : String(error) });
    },
  );
};

async function work({ source, missions, startedAt, band }: CutOutJob): Promise<void> {
  const isFile = 'file' in source;
  const bytes = () => (isFile ? piecesOfFile(source.file) : piecesOfSound(source.sound));
  const size = isFile ? source.file.size : soundBytes(source.sound);
  const head = isFile ? source.file.slice(0, PREPARE_BYTES) : new Blob();
  const first = new Uint8Array(await head.arrayBuffer());
  let told = 0;
  const options = {
    missions,
    codecs: await prepareAudio(first),
    ...(startedAt === null ? {} : { startedAt }),
    ...band,
  };
  const found = await findBursts(bytes(), options, (taken) => {
    const share = Math.min(1, taken.bytes / size);
    if (share < told + 0.01) return;
    told = share;
    tell({ type: 'share', share, bursts: taken.bursts });
  });
  const bursts = found.stretches.reduce((sum, stretch) => sum + stretch.bursts.length, 0);
  tell({ type: 'share', share: 1, bursts });
  const { problems, info } = found.summary;
  // a decoder serves one reading, from its start
  for await (const one of cutOut(bytes(), found, { codecs: await prepareAudio(first) })) {
    const reading = {
      software: SOFTWARE,
      decoderVersion: DECODER_VERSION,
      source: { sha256: isFile ? null : source.sound.sha256, startSeconds: one.startSeconds },
      ...(info.iq === undefined ? {} : { band: bandFacts(info.iq) }),
      bursts: readingOf(one).map(({ slots, carrier, ...burst }) => ({
        ...burst,
        slots: slots.map(({ startSeconds, elements }) => ({ startSeconds, elements: [...elements] })),
        ...(carrier === undefined ? {} : { carrier: { ...carrier, track: [...carrier.track] } }),
      })),
    };
    tell({ type: 'cut-out', found: { flac: new Uint8Array(one.flac), reading, problems } });
  }
}

async function* piecesOfFile(file: File): AsyncGenerator<Uint8Array> {
  for (let at = 0; at < file.size; at += PIECE_BYTES) {
    yield new Uint8Array(await file.slice(at, at + PIECE_BYTES).arrayBuffer());
  }
}

/** As a WAV file, which is never whole in memory. */
function* piecesOfSound({ sampleRateHz, channels }: BrowserSound): Generator<Uint8Array> {
  const frames = channels[0]?.length ?? 0;
  yield wavHeader({ sampleRateHz, format: 'float32', channels: channels.length, frames });
  for (let at = 0; at < frames; at += PIECE_FRAMES) {
    const piece = channels.map((samples) => samples.subarray(at, at + PIECE_FRAMES));
    yield packSamples(piece, piece[0].length, 'float32');
  }
}

function soundBytes({ channels }: BrowserSound): number {
  return 4 * channels.length * (channels[0]?.length ?? 0);
}
