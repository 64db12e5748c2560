import { wavHeader } from '../audio/wav-write.ts';

/** The longest burst that is read in one piece, and what passes until it is settled. */
const KEPT_SECONDS = 200;
/** Left before and after a burst, so that it is found again in its cut-out. */
const MARGIN_SECONDS = 2;
/** What a wall clock and the buffers of sound cards leave open, seconds. */
export const LIVE_TIME_ACCURACY_SECONDS = 2;

export interface CutOut {
  /** A whole WAV file, 16 bits. */
  readonly wav: Uint8Array;
  readonly startSeconds: number;
  readonly endSeconds: number;
}

/** Keeps the last minutes of a stream, to cut bursts out of it as recordings of their own. */
export class BurstCutter {
  private readonly sampleRateHz: number;
  private readonly ring: Int16Array;
  private written = 0;
  private lastEndSeconds = 0;

  constructor(sampleRateHz: number) {
    this.sampleRateHz = sampleRateHz;
    this.ring = new Int16Array(Math.ceil(KEPT_SECONDS * sampleRateHz));
  }

  take(samples: Float32Array): void {
    const { ring } = this;
    let at = this.written % ring.length;
    for (let i = 0; i < samples.length; i++) {
      ring[at] = Math.max(-32768, Math.min(32767, Math.round(32768 * samples[i])));
      if (++at === ring.length) at = 0;
    }
    this.written += samples.length;
  }

  /**
   * A stretch with a margin, as far as it is still kept; nothing of the stretch cut before it. Seconds count from the
   * stream's start.
   *
   * @param streamStartedAt time of the stream's first sample, written into the file; null when it is not known.
   */
  cut(startSeconds: number, endSeconds: number, streamStartedAt: string | null): CutOut {
    const rate = this.sampleRateHz;
    const from = Math.max(this.lastEndSeconds, startSeconds - MARGIN_SECONDS);
    const first = Math.max(0, this.written - this.ring.length, Math.round(Math.min(from, startSeconds) * rate));
    const last = Math.max(first, Math.min(this.written, Math.round((endSeconds + MARGIN_SECONDS) * rate)));
    this.lastEndSeconds = endSeconds;
    const frames = last - first;
    const startedAt =
      streamStartedAt === null ? null : new Date(Date.parse(streamStartedAt) + (1000 * first) / rate).toISOString();
    const header = wavHeader({
      sampleRateHz: rate,
      format: 'pcm16',
      channels: 1,
      frames,
      ...(startedAt === null ? {} : { startedAt }),
    });
    const wav = new Uint8Array(header.length + 2 * frames);
    wav.set(header);
    const view = new DataView(wav.buffer, header.length);
    for (let i = 0; i < frames; i++) view.setInt16(2 * i, this.ring[(first + i) % this.ring.length], true);
    return { wav, startSeconds: first / rate, endSeconds: last / rate };
  }
}
