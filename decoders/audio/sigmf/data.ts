import { cutShortProblem } from '../cut-short.ts';
import { NumberConverter } from '../number-layout.ts';
import { BYTES_PER_SAMPLE } from '../sample-format.ts';
import { SampleStream } from '../sample-stream.ts';
import { startFromIso } from '../start-time.ts';
import type { AudioBlock, AudioInfo, AudioProblem, AudioReader, BandCapture, BandInfo } from '../types.ts';
import type { SigmfMeta } from './meta.ts';

/** Bytes that are no samples, then those of so many samples. */
interface Part {
  readonly skippedBytes: number;
  readonly sampleBytes: number;
}

/**
 * Reads the samples of a SigMF data file. What is complex comes as two channels, I and Q.
 *
 * Problems, complete after `end`: those of `SampleStream`, `cut-short`, `bad-datetime`, `captures-apart` (the recorder
 * paused between two captures, so that times behind it are later than their place tells), `further-channels`.
 */
export class SigmfDataReader implements AudioReader {
  readonly info: AudioInfo;
  /** Left undefined where something else stands among the samples. */
  readonly frameBytes: number | undefined;
  readonly #problems: AudioProblem[] = [];
  readonly #parts: Part[];
  #skipped = 0;
  #taken = 0;
  readonly #numbers: NumberConverter;
  readonly #samples: SampleStream;
  /** The last bytes, which may turn out to be no samples. */
  readonly #tail: Uint8Array;
  #tailLength = 0;

  /** @param fileBytes length of the data file where it is known. */
  constructor(meta: SigmfMeta, fileBytes: number | null) {
    const { datatype, numbers, sampleRateHz, captures, trailingBytes } = meta;
    const frameBytes = numbers * BYTES_PER_SAMPLE[datatype.format];
    this.#parts = captures.map(({ startFrame, headerBytes }, i) => ({
      skippedBytes: headerBytes,
      sampleBytes: ((captures.at(i + 1)?.startFrame ?? Number.POSITIVE_INFINITY) - startFrame) * frameBytes,
    }));
    const isBare = trailingBytes === 0 && captures.every(({ headerBytes }) => headerBytes === 0);
    this.frameBytes = isBare ? frameBytes : undefined;
    this.#numbers = new NumberConverter(datatype);
    this.#samples = new SampleStream(datatype.format, numbers, sampleRateHz);
    this.#tail = new Uint8Array(trailingBytes);
    const headers = captures.reduce((sum, { headerBytes }) => sum + headerBytes, 0);
    const statedFrames =
      fileBytes === null ? null : Math.max(0, Math.floor((fileBytes - headers - trailingBytes) / frameBytes));
    const band = this.#capturesOf(meta);
    const [first] = band;
    const startedAt = first.startedAt === null ? null : { iso: first.startedAt, source: 'SigMF core:datetime' };
    this.info = {
      sampleRateHz,
      channels: numbers,
      encoding: `sigmf ${meta.datatypeName}`,
      statedFrames,
      startedAt,
      ...(datatype.isComplex ? { iq: { captures: band, ...tuningOf(band) } } : {}),
      ...(meta.simulated ? { simulated: true } : {}),
    };
    if (datatype.isComplex && numbers > 2) {
      const message = `The file holds ${numbers / 2} complex channels; only the first is read.`;
      this.#problems.push({ code: 'further-channels', message, atSeconds: null });
    }
  }

  get problems(): readonly AudioProblem[] {
    return this.#problems;
  }

  push(bytes: Uint8Array, onBlock: (block: AudioBlock) => void): void {
    for (let at = 0; at < bytes.length; ) {
      const [part] = this.#parts;
      if (this.#skipped < part.skippedBytes) {
        const skipped = Math.min(part.skippedBytes - this.#skipped, bytes.length - at);
        this.#skipped += skipped;
        at += skipped;
        continue;
      }
      const taken = Math.min(part.sampleBytes - this.#taken, bytes.length - at);
      this.#take(bytes.subarray(at, at + taken), onBlock);
      this.#taken += taken;
      at += taken;
      if (this.#taken < part.sampleBytes) continue;
      this.#parts.shift();
      this.#skipped = 0;
      this.#taken = 0;
    }
  }

  end(onBlock: (block: AudioBlock) => void): void {
    this.#samples.end(onBlock);
    this.#problems.push(...this.#samples.problems());
    const { statedFrames, sampleRateHz } = this.info;
    const problem = cutShortProblem(statedFrames, this.#samples.frames, sampleRateHz);
    if (problem !== null) this.#problems.push(problem);
  }

  /** Passes on all but the last bytes, as many as trail behind the samples. */
  #take(bytes: Uint8Array, onBlock: (block: AudioBlock) => void): void {
    if (this.#tail.length === 0) {
      this.#samples.push(this.#numbers.convert(bytes), onBlock);
      return;
    }
    const released = Math.max(0, this.#tailLength + bytes.length - this.#tail.length);
    const old = Math.min(released, this.#tailLength);
    this.#samples.push(this.#numbers.convert(this.#tail.subarray(0, old)), onBlock);
    this.#samples.push(this.#numbers.convert(bytes.subarray(0, released - old)), onBlock);
    this.#tail.copyWithin(0, old, this.#tailLength);
    this.#tailLength -= old;
    this.#tail.set(bytes.subarray(released - old), this.#tailLength);
    this.#tailLength += bytes.length - (released - old);
  }

  #capturesOf({ captures, sampleRateHz }: SigmfMeta): BandCapture[] {
    let before: BandCapture | null = null;
    return captures.map(({ startFrame, centerHz, datetime }) => {
      const startSeconds = startFrame / sampleRateHz;
      const startedAt = datetime === null ? null : this.#timeOf(datetime, startSeconds);
      const capture: BandCapture = { startSeconds, centerHz, startedAt };
      if (before) this.#compare(before, capture);
      if (startedAt !== null || before === null) before = capture;
      return capture;
    });
  }

  #timeOf(datetime: string, atSeconds: number): string | null {
    const iso = startFromIso(datetime.replace(/(\.\d{9})\d+/, '$1'), 'SigMF')?.iso ?? null;
    if (iso === null) {
      const given = JSON.stringify(datetime.slice(0, 40));
      const message = `A capture states ${given} as its time, which is none; it was left out.`;
      this.#problems.push({ code: 'bad-datetime', message, atSeconds });
    }
    return iso;
  }

  #compare(before: BandCapture, after: BandCapture): void {
    if (before.startedAt === null || after.startedAt === null) return;
    const apart = (Date.parse(after.startedAt) - Date.parse(before.startedAt)) / 1000;
    const missing = apart - (after.startSeconds - before.startSeconds);
    if (Math.abs(missing) < LEAST_APART_SECONDS) return;
    const at = after.startSeconds.toFixed(1);
    const message = `The recorder paused: what stands from ${at} s on was received ${missing.toFixed(1)} s later than that.`;
    this.#problems.push({ code: 'captures-apart', message, atSeconds: after.startSeconds });
  }
}

/** Clocks and rates that are slightly off do not count as a pause. */
const LEAST_APART_SECONDS = 0.5;

/**
 * Captures with frequencies of their own tell that the receiver was retuned between them. A single one tells nothing: SigMF
 * 1.2.5 has no word for whether a program led the signal along besides, nor for the error of a reference.
 */
function tuningOf(captures: readonly BandCapture[]): Pick<BandInfo, 'tuning'> {
  const centres = new Set(captures.map(({ centerHz }) => centerHz));
  if (centres.size < 2 || centres.has(null)) return {};
  return { tuning: { mode: 'retuned', referenceErrorPpm: null } };
}
