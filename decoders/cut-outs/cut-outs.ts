import type { AudioCodecs } from '../audio/codecs.ts';
import { RecordingReader } from '../audio/open.ts';
import type { DecodeEvent, DecodeOptions, DecodeSummary, FrameWithReadings } from '../decode.ts';
import { createRecordingDecoder } from '../recording.ts';
import { Cutter } from './cutter.ts';
import { type HeardBurst, stretchesOf, stretchesOfBand } from './stretches.ts';
import type { BurstStretch, CutOut } from './types.ts';

/** Bytes of a recording from its start on; each piece holds until the next is asked for. */
export type RecordingBytes = AsyncIterable<Uint8Array> | Iterable<Uint8Array>;

/** What a recording holds, before anything is cut out of it. */
export interface BurstsFound {
  readonly summary: DecodeSummary;
  readonly stretches: readonly BurstStretch[];
  readonly frames: readonly FrameWithReadings[];
}

/** Told as decoding goes on: bytes taken, and seconds of the recording read by then. */
export type OnFound = (taken: { readonly bytes: number; readonly seconds: number; readonly bursts: number }) => void;

/**
 * Decodes a recording as it always is, and says which stretches of it hold bursts.
 *
 * @throws AudioError when it cannot be read.
 */
export async function findBursts(
  bytes: RecordingBytes,
  options: DecodeOptions,
  onFound: OnFound = () => {},
): Promise<BurstsFound> {
  const decoder = createRecordingDecoder(options);
  const heard: HeardBurst[] = [];
  const frames: FrameWithReadings[] = [];
  let seconds = 0;
  const onEvent = (event: DecodeEvent): void => {
    if (event.type === 'progress') {
      seconds = event.seconds;
      return;
    }
    heard.push({ burst: event.burst, channel: event.channel ?? 0 });
    frames.push(...event.frames);
  };
  let taken = 0;
  for await (const piece of bytes) {
    decoder.push(piece, onEvent);
    taken += piece.length;
    onFound({ bytes: taken, seconds, bursts: heard.length });
  }
  const summary = decoder.end(onEvent);
  const { info, seconds: length } = summary;
  const stretches =
    info.iq === undefined
      ? stretchesOf(heard, length)
      : stretchesOfBand(
          heard.map(({ burst }) => burst),
          length,
        );
  return { summary, stretches, frames };
}

/**
 * Reads a recording once more and cuts out of it what `findBursts` found: one at a time, in memory for the longest of them.
 *
 * @param bytes the same bytes again.
 */
export async function* cutOut(
  bytes: RecordingBytes,
  { stretches, summary }: Pick<BurstsFound, 'stretches' | 'summary'>,
  options: { readonly codecs?: AudioCodecs; readonly sigmfMeta?: string } = {},
): AsyncGenerator<CutOut> {
  if (stretches.length === 0) return;
  const { sampleRateHz, simulated = false, iq } = summary.info;
  const reader = new RecordingReader(options);
  const cutter = new Cutter(stretches, { sampleRateHz, simulated, isBand: iq !== undefined });
  const ready: CutOut[] = [];
  const keep = (one: CutOut): void => {
    ready.push(one);
  };
  for await (const piece of bytes) {
    reader.push(piece, (block) => cutter.take(block, keep));
    yield* ready.splice(0);
    if (cutter.isDone) return;
  }
  reader.end((block) => cutter.take(block, keep));
  cutter.end(keep);
  yield* ready;
}
