import { RecordingReader } from './audio/open.ts';
import type { AudioInfo, BandInfo } from './audio/types.ts';
import type { DeclaredBand, DecodeEvent, DecodeOptions, DecodeSummary, RecordingDecoder } from './decode.ts';
import { AudioError } from './errors.ts';
import { SampleDecoder } from './sample-decoder.ts';
import { SkippedTime } from './skipped-time.ts';

/** Seconds of audio between two words of progress. */
const PROGRESS_SECONDS = 10;

/**
 * The whole way from the bytes of a recording to readings. Every distinct channel is decoded; of a burst heard on
 * several, the clearest copy counts.
 */
export function createRecordingDecoder(options: DecodeOptions): RecordingDecoder {
  return new RecordingDecoding(options);
}

class RecordingDecoding implements RecordingDecoder {
  private readonly options: DecodeOptions;
  private readonly reader: RecordingReader;
  private decoder: SampleDecoder | null = null;
  private readonly skipped: SkippedTime;
  private told = 0;

  constructor(options: DecodeOptions) {
    this.options = options;
    this.reader = new RecordingReader(options);
    this.skipped = new SkippedTime(options.missions);
  }

  push(bytes: Uint8Array, onEvent: (event: DecodeEvent) => void): void {
    this.reader.push(bytes, (block) => this.decoding()?.take(block));
    if (!this.decoder) return;
    this.decoder.settle(this.heard(onEvent));
    const { seconds } = this.decoder;
    if (seconds - this.told < PROGRESS_SECONDS) return;
    this.told = seconds;
    onEvent({ type: 'progress', seconds });
  }

  end(onEvent: (event: DecodeEvent) => void): DecodeSummary {
    this.reader.end((block) => this.decoding()?.take(block));
    const { info: stated } = this.reader;
    if (!stated) throw new AudioError('not-a-recording', 'The file ended before its format was known.');
    const decoder = this.decoding();
    const presence = decoder?.end(this.heard(onEvent)) ?? [];
    const band = decoder?.bandInfo ?? null;
    const { tuning } = this.options;
    const info = band === null ? stated : { ...stated, iq: { ...band, ...(tuning ? { tuning } : {}) } };
    // Of what nobody ever sent neither clock nor interval means anything.
    const skipped = info.simulated ? [] : this.skipped.problems();
    const bandProblem = decoder?.bandProblem ?? null;
    const problems = [...this.reader.problems, ...(bandProblem === null ? [] : [bandProblem]), ...skipped];
    const channel = info.channels === 1 || band !== null ? null : (decoder?.bestChannel ?? 0);
    return { info, seconds: decoder?.seconds ?? 0, problems, channel, presence };
  }

  /** What is given out is looked at for time that the recorder left out. */
  private heard(onEvent: (event: DecodeEvent) => void): (event: DecodeEvent) => void {
    return (event) => {
      if (event.type === 'burst') this.skipped.take(event);
      onEvent(event);
    };
  }

  /** Null until the rate is known. */
  private decoding(): SampleDecoder | null {
    const { info } = this.reader;
    if (!info || this.decoder) return this.decoder;
    const band = info.iq ?? declaredBand(info, this.options.iq);
    this.decoder = new SampleDecoder({ ...this.options, sampleRateHz: info.sampleRateHz, band });
    return this.decoder;
  }
}

/** @throws AudioError `iq-needs-two-channels` where I/Q was declared of anything else. */
function declaredBand(info: AudioInfo, declared: DeclaredBand | undefined): BandInfo | undefined {
  if (declared === undefined) return undefined;
  if (info.channels === 2) {
    return { captures: [{ startSeconds: 0, centerHz: declared.centerHz, startedAt: info.startedAt?.iso ?? null }] };
  }
  const has = info.channels === 1 ? 'one channel' : `${info.channels} channels`;
  throw new AudioError('iq-needs-two-channels', `I/Q was declared, which are two channels; this recording has ${has}.`);
}
