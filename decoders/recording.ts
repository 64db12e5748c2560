import { DistinctChannels } from './audio/channel-choice.ts';
import { RecordingReader } from './audio/open.ts';
import type { AudioBlock } from './audio/types.ts';
import type { DecodeEvent, DecodeOptions, DecodeSummary, RecordingDecoder } from './decode.ts';
import { readingsOf } from './engineering/index.ts';
import { AudioError } from './errors.ts';
import { knownBeacons, type MissionBeacon } from './frames/known-beacons.ts';
import { readBurstFrames } from './frames/read-burst.ts';
import type { Mission } from './mission/types.ts';
import { MissionPresence } from './presence.ts';
import { BurstReader, type ReadBurst, withSoft } from './teletype/burst-reader.ts';

/** Seconds of audio between two words of progress. */
const PROGRESS_SECONDS = 10;
/** A burst is given out when every channel is so far past it: a better copy of it may still come from another channel. */
const SETTLE_SECONDS = 45;

interface Channel {
  readonly number: number;
  readonly reader: BurstReader;
}

interface Pending {
  readonly channel: number;
  readonly read: ReadBurst;
}

/**
 * The whole way from the bytes of a recording to readings. Every distinct channel is decoded; of a burst heard on
 * several, the clearest copy counts.
 */
export function createRecordingDecoder(options: DecodeOptions): RecordingDecoder {
  return new RecordingDecoding(options);
}

class RecordingDecoding implements RecordingDecoder {
  private readonly options: DecodeOptions;
  private readonly beacons: readonly MissionBeacon[];
  private readonly presence = new MissionPresence();
  private readonly reader = new RecordingReader();
  private distinct: DistinctChannels | null = null;
  private readonly channels: Channel[] = [];
  private readonly pending: Pending[] = [];
  /** Bursts given out, a channel each. */
  private readonly bursts = new Map<number, number>();
  private frames = 0;
  private told = 0;

  constructor(options: DecodeOptions) {
    this.options = options;
    this.beacons = knownBeacons(options.missions, options.startedAt ?? null);
  }

  push(bytes: Uint8Array, onEvent: (event: DecodeEvent) => void): void {
    this.reader.push(bytes, (block) => this.take(block));
    this.settle(this.seconds - (this.channels.length > 1 ? SETTLE_SECONDS : 0), onEvent);
    if (this.seconds - this.told < PROGRESS_SECONDS) return;
    this.told = this.seconds;
    onEvent({ type: 'progress', seconds: this.seconds });
  }

  end(onEvent: (event: DecodeEvent) => void): DecodeSummary {
    this.reader.end((block) => this.take(block));
    const { info, problems } = this.reader;
    if (!info) throw new AudioError('not-a-recording', 'The file ended before its format was known.');
    for (const { number, reader } of this.channels) reader.end((read) => this.hold(number, read));
    this.settle(Number.POSITIVE_INFINITY, onEvent);
    const channel = this.bestChannel(info.channels);
    return { info, seconds: this.seconds, problems, channel, presence: this.presence.end(this.seconds) };
  }

  private get seconds(): number {
    const rate = this.reader.info?.sampleRateHz;
    return rate === undefined ? 0 : this.frames / rate;
  }

  private take(block: AudioBlock): void {
    const sampleRateHz = this.reader.info?.sampleRateHz;
    if (sampleRateHz === undefined) return;
    this.distinct ??= new DistinctChannels(block.channels.length);
    for (const number of this.distinct.add(block)) {
      const startSeconds = this.frames / sampleRateHz;
      const bauds = statedBauds(this.options.missions);
      const beacons = this.beacons.map((beacon) => ({ beacon, onSighting: this.presence.watch(beacon) }));
      const reader = new BurstReader({ sampleRateHz, startSeconds, bauds, beacons, ...this.alphabet() });
      this.channels.push({ number, reader });
    }
    this.frames += block.frames;
    for (const { number, reader } of this.channels) {
      const samples = block.channels[number];
      reader.push(samples.length === block.frames ? samples : samples.subarray(0, block.frames), (read) =>
        this.hold(number, read),
      );
    }
  }

  /** The alphabet of the missions when they agree on one. */
  private alphabet(): Pick<ConstructorParameters<typeof BurstReader>[0], 'alphabet'> {
    const alphabets = new Set(this.options.missions.map((mission) => mission.beacon.alphabet));
    const [only] = alphabets;
    return alphabets.size === 1 ? { alphabet: only } : {};
  }

  /** Keeps a burst until it is settled, or drops it where a clearer copy is held already. */
  private hold(channel: number, read: ReadBurst): void {
    for (let i = 0; i < this.pending.length; i++) {
      if (!sameBurst(this.pending[i].read, read)) continue;
      if (read.burst.ebN0Db > this.pending[i].read.burst.ebN0Db) this.pending[i] = { channel, read };
      return;
    }
    this.pending.push({ channel, read });
  }

  private settle(untilSeconds: number, onEvent: (event: DecodeEvent) => void): void {
    this.pending.sort((a, b) => a.read.burst.startSeconds - b.read.burst.startSeconds);
    while (this.pending.length > 0 && this.pending[0].read.burst.endSeconds < untilSeconds) {
      const { channel, read } = this.pending[0];
      this.pending.shift();
      this.bursts.set(channel, (this.bursts.get(channel) ?? 0) + 1);
      const event = this.burstEvent(read);
      this.presence.take(event);
      onEvent(event);
    }
  }

  private burstEvent({ burst, signal }: ReadBurst): Extract<DecodeEvent, { type: 'burst' }> {
    const { missions, startedAt } = this.options;
    const read = readBurstFrames(signal, missions, { receivedAt: startedAt ?? null });
    const frames = read.frames.map(({ mission, frame, repetitions }) => ({
      mission: mission.id,
      frame,
      readings: readingsOf(mission, frame, { receivedAt: receivedAt(startedAt, frame.startSeconds) }),
      ...(repetitions ? { repetitions } : {}),
    }));
    // A frame's slots count in the timing it was read by.
    const told = read.soft === burst.soft ? burst : withSoft(burst, read.soft, this.alphabet());
    return { type: 'burst', burst: told, frames };
  }

  private bestChannel(channels: number): number | null {
    if (channels === 1) return null;
    let best = this.channels[0]?.number ?? 0;
    for (const [channel, count] of this.bursts) if (count > (this.bursts.get(best) ?? 0)) best = channel;
    return best;
  }
}

/** Speeds that the missions name, main and further ones. */
function statedBauds(missions: readonly Mission[]): number[] {
  const hints = missions.flatMap(({ beacon }) => [beacon, ...beacon.also]);
  return [...new Set(hints.flatMap(({ baud }) => (baud === undefined ? [] : [baud])))];
}

function receivedAt(startedAt: string | undefined, seconds: number): string | null {
  return startedAt === undefined ? null : new Date(Date.parse(startedAt) + seconds * 1000).toISOString();
}

/** Whether two readings are of one transmission: they overlap for the most part, and so do their tones. */
function sameBurst(a: ReadBurst, b: ReadBurst): boolean {
  const overlap =
    Math.min(a.burst.endSeconds, b.burst.endSeconds) - Math.max(a.burst.startSeconds, b.burst.startSeconds);
  const shorter = Math.min(a.burst.endSeconds - a.burst.startSeconds, b.burst.endSeconds - b.burst.startSeconds);
  const distance = Math.abs(a.burst.markHz + a.burst.spaceHz - b.burst.markHz - b.burst.spaceHz) / 2;
  const shift = Math.max(Math.abs(a.burst.markHz - a.burst.spaceHz), Math.abs(b.burst.markHz - b.burst.spaceHz));
  return overlap > 0.5 * shorter && distance < shift;
}
