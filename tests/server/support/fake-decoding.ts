import type { BeaconPresence, DecodeEvent, DecodeSummary, RecordingDecoder } from '../../../decoders/decode.ts';
import { AudioError } from '../../../decoders/errors.ts';
import { matchFrames } from '../../../decoders/frames/match.ts';
import { combineRepeats } from '../../../decoders/frames/repeats.ts';
import type { DecodedFrame } from '../../../decoders/frames/types.ts';
import type { Mission } from '../../../decoders/mission/types.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import { encode } from '../../../decoders/teletype/alphabets.ts';
import { withSoft } from '../../../decoders/teletype/read-acquired.ts';
import type { Burst } from '../../../decoders/teletype/types.ts';
import { decodeFile } from '../../../server/jobs/decode-file.ts';
import type { DecodeRunner } from '../../../server/jobs/decode-runner.ts';
import { heard } from '../../decoders/support/soft.ts';
import { burstOf, decodedFrame } from './records.ts';

/** A recording for tests: what it is to decode to, as JSON. */
export interface FakeRecording {
  readonly startedAt?: string;
  readonly simulated?: boolean;
  readonly problems?: readonly string[];
  /** The decoder throws something that no recording should make it throw. */
  readonly broken?: boolean;
  readonly presence?: readonly BeaconPresence[];
  readonly bursts?: readonly FakeBurst[];
}

interface FakeBurst {
  readonly text: string;
  readonly startSeconds?: number;
  /** What is read in it. */
  readonly frames?: readonly ({ readonly mission: string } & Partial<DecodedFrame>)[];
  /** How it was heard: its soft elements are those of a receiver in noise, and without `frames` it is read. */
  readonly heard?: { readonly ebN0Db: number; readonly seed: number };
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
    return decodeFile(task, ({ missions }) => new FakeDecoder(missions), onProgress);
  }

  async close(): Promise<void> {}
}

class FakeDecoder implements RecordingDecoder {
  #bytes = Buffer.alloc(0);
  readonly #missions: readonly Mission[];

  constructor(missions: readonly Mission[]) {
    this.#missions = missions;
  }

  push(bytes: Uint8Array): void {
    this.#bytes = Buffer.concat([this.#bytes, bytes]);
  }

  #read(burst: Burst): DecodeEvent {
    const found = combineRepeats(matchFrames(burst.soft, this.#missions), burst.soft, this.#missions);
    const frames = found.map(({ mission, frame, repetitions }) => ({
      mission: mission.id,
      frame,
      readings: [],
      ...(repetitions ? { repetitions } : {}),
    }));
    return { type: 'burst', burst, frames };
  }

  end(onEvent: (event: DecodeEvent) => void): DecodeSummary {
    const recording = parse(this.#bytes);
    if (recording.broken) throw new TypeError('the decoder has a fault');
    for (const fake of recording.bursts ?? []) {
      const { text, startSeconds = 2, frames = [], heard: noise } = fake;
      if (noise !== undefined && fake.frames === undefined) {
        onEvent(this.#read(noisyBurst(text, startSeconds, noise)));
        continue;
      }
      onEvent({
        type: 'burst',
        burst: noise === undefined ? burstOf(text, startSeconds) : noisyBurst(text, startSeconds, noise),
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
      presence: recording.presence ?? [],
    };
  }
}

/** A burst as an ideal receiver has it in white noise. */
function noisyBurst(text: string, startSeconds: number, { ebN0Db, seed }: NonNullable<FakeBurst['heard']>): Burst {
  const codes = encode(text, 'ita2', { startShift: 'unknown' });
  const soft = heard([31, 31, ...codes, 31], ebN0Db, new Random(seed));
  const at = { ...soft, startSeconds: soft.startSeconds.map((start) => startSeconds + start) };
  return { ...withSoft(burstOf(text, startSeconds), at, {}), ebN0Db, endSeconds: startSeconds + 0.165 * soft.count };
}

function parse(bytes: Buffer): FakeRecording {
  try {
    return JSON.parse(bytes.toString('utf8'));
  } catch {
    throw new AudioError('not-audio', 'this is no recording: give a WAV file');
  }
}
