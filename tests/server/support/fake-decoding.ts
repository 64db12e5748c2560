import type { DecodeEvent, DecodeSummary, RecordingDecoder } from '../../../decoders/decode.ts';
import { AudioError } from '../../../decoders/errors.ts';
import type { DecodedFrame } from '../../../decoders/frames/types.ts';
import { decodeFile } from '../../../server/jobs/decode-file.ts';
import type { DecodeRunner } from '../../../server/jobs/decode-runner.ts';
import { burstOf, decodedFrame } from './records.ts';

/** A recording for tests: what it is to decode to, as JSON. */
export interface FakeRecording {
  readonly startedAt?: string;
  readonly simulated?: boolean;
  readonly problems?: readonly string[];
  /** The decoder throws something that no recording should make it throw. */
  readonly broken?: boolean;
  readonly bursts?: readonly {
    readonly text: string;
    readonly startSeconds?: number;
    readonly frames?: readonly ({ readonly mission: string } & Partial<DecodedFrame>)[];
  }[];
}

export function fakeRecording(recording: FakeRecording = {}): Buffer {
  return Buffer.from(JSON.stringify(recording));
}

/** Decodes fake recordings right here. While `held`, every decoding waits, until it is let go or aborted. */
export class FakeDecoding implements DecodeRunner {
  readonly width = 1;
  runs = 0;
  #gate: Promise<void> = Promise.resolve();
  #open = () => {};

  hold(): void {
    this.#gate = new Promise((resolve) => {
      this.#open = resolve;
    });
  }

  letGo(): void {
    this.#open();
  }

  async run(...[task, { signal, onProgress }]: Parameters<DecodeRunner['run']>): ReturnType<DecodeRunner['run']> {
    this.runs++;
    onProgress({ fraction: 0.5, seconds: 15, bursts: 1, frames: 0, lastFrame: null });
    const aborted = new Promise<never>((_resolve, reject) => {
      signal.addEventListener('abort', () => reject(signal.reason));
    });
    await Promise.race([this.#gate, aborted]);
    signal.throwIfAborted();
    return decodeFile(task, () => new FakeDecoder(), onProgress);
  }

  async close(): Promise<void> {}
}

class FakeDecoder implements RecordingDecoder {
  #bytes = Buffer.alloc(0);

  push(bytes: Uint8Array): void {
    this.#bytes = Buffer.concat([this.#bytes, bytes]);
  }

  end(onEvent: (event: DecodeEvent) => void): DecodeSummary {
    const recording = parse(this.#bytes);
    if (recording.broken) throw new TypeError('the decoder has a fault');
    for (const { text, startSeconds = 2, frames = [] } of recording.bursts ?? []) {
      onEvent({
        type: 'burst',
        burst: burstOf(text, startSeconds),
        frames: frames.map(({ mission, ...frame }) => ({
          mission,
          frame: decodedFrame({ startSeconds, ...frame }),
          readings: [],
        })),
      });
    }
    return {
      info: {
        sampleRateHz: 8000,
        channels: 1,
        encoding: 'fake',
        statedFrames: null,
        startedAt: recording.startedAt === undefined ? null : { iso: recording.startedAt, source: 'bext' },
        simulated: recording.simulated ?? false,
      },
      seconds: 30,
      problems: (recording.problems ?? []).map((code) => ({ code, message: code, atSeconds: 1 })),
      channel: null,
      presence: [],
    };
  }
}

function parse(bytes: Buffer): FakeRecording {
  try {
    return JSON.parse(bytes.toString('utf8'));
  } catch {
    throw new AudioError('not-audio', 'this is no recording: give a WAV file');
  }
}
