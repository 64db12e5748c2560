import { BLOCK_FRAMES } from '../audio/block-stream.ts';
import type { DecodeEvent } from '../decode.ts';
import { knownBeacons } from '../frames/known-beacons.ts';
import { SampleDecoder } from '../sample-decoder.ts';
import { createDecimator, type Decimator } from '../signal/decimate.ts';
import { LevelMeter } from './level-meter.ts';
import { Provisional } from './provisional.ts';
import type { LiveDecoder, LiveEvent, LiveOptions } from './types.ts';

/** Samples taken at once, a whole number of times to a block of a recording: results do not depend on the input's blocks. */
const QUANTUM = BLOCK_FRAMES / 8;

/**
 * Reads one channel while it is being heard: characters at once, as guesses, and each burst as a recording gives it.
 *
 * @throws FiveunitError `sample-rate-out-of-range`.
 */
export function createLiveDecoder(options: LiveOptions): LiveDecoder {
  return new LiveDecoding(options);
}

class LiveDecoding implements LiveDecoder {
  private readonly sampleRateHz: number;
  private readonly settled: SampleDecoder;
  private readonly decimator: Decimator;
  private readonly provisional: Provisional;
  private readonly meter: LevelMeter;
  /** A block of a recording, as far as it has come. */
  private readonly block = new Float32Array(BLOCK_FRAMES);
  private filled = 0;
  private blocks = 0;

  constructor(options: LiveOptions) {
    const { sampleRateHz, missions, startedAt } = options;
    this.sampleRateHz = sampleRateHz;
    this.decimator = createDecimator(sampleRateHz);
    this.meter = new LevelMeter(sampleRateHz);
    this.provisional = new Provisional(missions, knownBeacons(missions, startedAt ?? null), startedAt ?? null);
    this.settled = new SampleDecoder({
      ...options,
      onKeying: (keying) => this.provisional.acquire(keying),
    });
  }

  get seconds(): number {
    return (this.blocks * BLOCK_FRAMES + this.filled) / this.sampleRateHz;
  }

  push(samples: Float32Array, onEvent: (event: LiveEvent) => void): void {
    for (let at = 0; at < samples.length; ) {
      const wanted = QUANTUM - (this.filled % QUANTUM);
      const piece = samples.subarray(at, at + wanted);
      this.block.set(piece, this.filled);
      this.filled += piece.length;
      at += piece.length;
      if (piece.length === wanted) this.takeQuantum(onEvent);
    }
  }

  end(onEvent: (event: LiveEvent) => void): void {
    this.provisional.end(onEvent);
    if (this.filled > 0) this.settled.take({ frames: this.filled, channels: [this.block] });
    this.settled.end((event) => this.tell(event, onEvent));
  }

  private takeQuantum(onEvent: (event: LiveEvent) => void): void {
    const quantum = this.block.subarray(this.filled - QUANTUM, this.filled);
    this.meter.take(quantum, onEvent);
    this.decimator.push(quantum, (working) => this.provisional.take(working, onEvent));
    if (this.filled < BLOCK_FRAMES) return;
    this.settled.take({ frames: BLOCK_FRAMES, channels: [this.block] });
    this.filled = 0;
    this.blocks++;
    this.settled.settle((event) => this.tell(event, onEvent));
  }

  private tell(event: DecodeEvent, onEvent: (event: LiveEvent) => void): void {
    if (event.type !== 'burst') return;
    onEvent({ ...event, receptions: this.provisional.receptionsOf(event.burst) });
  }
}
