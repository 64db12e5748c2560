import type { Alphabet } from '../mission/types.ts';
import { createAcquirer } from '../signal/acquirer.ts';
import { createDecimator, WORKING_RATE_HZ } from '../signal/decimate.ts';
import { SampleHistory } from '../signal/history.ts';
import { createKnownAcquirer } from '../signal/known/acquirer.ts';
import type { Sighting } from '../signal/known/search.ts';
import type { KnownBeacon } from '../signal/known/types.ts';
import type { Acquirer, Acquisition } from '../signal/types.ts';
import { AcquiredBursts } from './acquired-bursts.ts';
import { MOST_MARGIN_SECONDS, type ReadBurst, readAcquired } from './read-acquired.ts';

export interface BurstReaderOptions {
  readonly sampleRateHz: number;
  /** Place of the first sample in the recording. */
  readonly startSeconds?: number;
  /** Decided from the signal when left out. */
  readonly alphabet?: Alphabet;
  /** Speeds to look for beside the usual ones. */
  readonly bauds?: readonly number[];
  /** Beacons whose transmissions are also looked for by what they must say. */
  readonly beacons?: readonly WatchedBeacon[];
  /** Told of keying as soon as the search comes upon it: first guesses, some of them wrong or told more than once. */
  readonly onKeying?: (keying: Acquisition) => void;
}

export interface WatchedBeacon {
  readonly beacon: KnownBeacon;
  /** Told of every place that looks like one of its transmissions, however faintly. */
  readonly onSighting?: (sighting: Sighting) => void;
}

/** 131 s: the longest stretch that is demodulated in one piece, and what is looked at around it. */
const HISTORY_SAMPLES = 1 << 20;
/** What is ready is read so often, by the stream's own time: when it is read must not depend on the blocks. */
const TICK_SAMPLES = WORKING_RATE_HZ;

/**
 * One channel of samples in, bursts out: search, demodulation and free printing. Streaming: the same samples in other
 * blocks give the same bursts, memory is bounded.
 */
export class BurstReader {
  private readonly options: BurstReaderOptions;
  private readonly decimator: ReturnType<typeof createDecimator>;
  private readonly blind: Acquirer;
  private readonly known: readonly Acquirer[];
  private readonly acquired = new AcquiredBursts();
  private readonly history = new SampleHistory(HISTORY_SAMPLES);

  constructor(options: BurstReaderOptions) {
    this.options = options;
    this.decimator = createDecimator(options.sampleRateHz);
    // The empty hint keeps the usual speeds in: what a mission says of its beacon is a hint, a burst may differ.
    const hints = options.bauds ? [{ bauds: options.bauds }, {}] : [];
    const { startSeconds = 0, beacons = [], onKeying } = options;
    this.blind = createAcquirer({
      sampleRateHz: WORKING_RATE_HZ,
      hints,
      ...(onKeying ? { onKeying: (keying) => onKeying(later(keying, startSeconds)) } : {}),
    });
    this.known = beacons.map(({ beacon, onSighting }) =>
      createKnownAcquirer(beacon, (sighting) =>
        onSighting?.({ ...sighting, startSeconds: sighting.startSeconds + startSeconds }),
      ),
    );
  }

  push(samples: Float32Array, onBurst: (read: ReadBurst) => void): void {
    this.decimator.push(samples, (block) => this.take(block, onBurst));
  }

  end(onBurst: (read: ReadBurst) => void): void {
    this.decimator.end((block) => this.take(block, onBurst));
    this.blind.end((found) => this.acquired.addBlind(found));
    for (const known of this.known) known.end((found) => this.acquired.addKnown(found));
    const all = Number.POSITIVE_INFINITY;
    this.readReady(onBurst, this.acquired.take(all, { blindSeconds: all, knownSeconds: all }));
  }

  private take(block: Float32Array, onBurst: (read: ReadBurst) => void): void {
    for (let at = 0; at < block.length; ) {
      const piece = block.subarray(at, at + TICK_SAMPLES - (this.history.end % TICK_SAMPLES));
      this.history.append(piece);
      this.blind.push(piece, (found) => this.acquired.addBlind(found));
      for (const known of this.known) known.push(piece, (found) => this.acquired.addKnown(found));
      if (this.history.end % TICK_SAMPLES === 0) this.tick(onBurst);
      at += piece.length;
    }
  }

  private tick(onBurst: (read: ReadBurst) => void): void {
    const endedSeconds = this.history.end / WORKING_RATE_HZ - MOST_MARGIN_SECONDS;
    const blindSeconds = this.blind.settledSeconds;
    const knownSeconds = Math.min(...this.known.map(({ settledSeconds }) => settledSeconds));
    this.readReady(onBurst, this.acquired.take(endedSeconds, { blindSeconds, knownSeconds }));
  }

  private readReady(onBurst: (read: ReadBurst) => void, ready: readonly Acquisition[]): void {
    for (const found of ready) {
      const read = this.read(found);
      if (read) onBurst(read);
    }
  }

  private read(found: Acquisition): ReadBurst | null {
    const { startSeconds: offset = 0 } = this.options;
    const source = (fromSeconds: number, toSeconds: number) => {
      const from = (fromSeconds - offset) * WORKING_RATE_HZ;
      const { samples, first } = this.history.slice(from, (toSeconds - offset) * WORKING_RATE_HZ);
      return { samples, sampleRateHz: WORKING_RATE_HZ, startSeconds: first / WORKING_RATE_HZ + offset };
    };
    return readAcquired(later(found, offset), source, this.options);
  }
}

/** The same stretch on a time scale that began so much earlier. */
function later(found: Acquisition, seconds: number): Acquisition {
  return {
    ...found,
    startSeconds: found.startSeconds + seconds,
    endSeconds: found.endSeconds + seconds,
    characterPhaseSeconds: found.characterPhaseSeconds + seconds,
  };
}
