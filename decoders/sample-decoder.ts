import { DistinctChannels } from './audio/channel-choice.ts';
import type { AudioBlock, AudioProblem, BandInfo } from './audio/types.ts';
import type { BeaconPresence, DecodeEvent, DecodeOptions } from './decode.ts';
import { withReadings } from './frame-readings.ts';
import { knownBeacons, type MissionBeacon } from './frames/known-beacons.ts';
import { readBurstFrames } from './frames/read-burst.ts';
import { BandWatch } from './iq/band-watch.ts';
import { isPractice, practiceOf } from './mission/practice.ts';
import type { Mission } from './mission/types.ts';
import { MissionPresence } from './presence.ts';
import type { Acquisition } from './signal/types.ts';
import { BurstReader } from './teletype/burst-reader.ts';
import { type ReadBurst, withSoft } from './teletype/read-acquired.ts';

/** A burst is given out when every channel is so far past it: a better copy of it may still come from another channel. */
const SETTLE_SECONDS = 45;

export interface SampleDecoderOptions extends DecodeOptions {
  readonly sampleRateHz: number;
  /** Given when the first two channels are the parts of a complex band. */
  readonly band?: BandInfo | undefined;
  /** Told of keying as soon as a search comes upon it, long before its burst is settled. */
  readonly onKeying?: (keying: Acquisition) => void;
}

interface Channel {
  readonly number: number;
  readonly reader: BurstReader;
}

interface Pending {
  readonly channel: number;
  readonly read: ReadBurst;
}

/**
 * Samples of one or more channels in, bursts with frames and readings out. Every distinct channel is decoded; of a burst
 * heard on several, the clearest copy counts. Streaming: the same samples in other blocks give the same bursts.
 */
export class SampleDecoder {
  private readonly options: SampleDecoderOptions;
  private readonly beacons: readonly MissionBeacon[];
  private readonly presence = new MissionPresence();
  /** What bursts are read as that were sent for practice; empty where nobody asks for it. */
  private readonly practised: readonly Mission[];
  private distinct: DistinctChannels | null = null;
  private channels: Channel[] = [];
  private readonly band: BandWatch;
  private pending: Pending[] = [];
  /** Bursts given out, a channel each. */
  private readonly bursts = new Map<number, number>();
  private frames = 0;

  constructor(options: SampleDecoderOptions) {
    this.options = options;
    this.beacons = knownBeacons(options.missions, options.startedAt ?? null);
    const { sampleRateHz, missions, onKeying, band, practice = false } = options;
    this.practised = practice ? missions.flatMap((mission) => practiceOf(mission) ?? []) : [];
    const hearing = onKeying ? { onKeying } : {};
    const beacons = this.beacons.map((beacon) => ({ beacon }));
    const bauds = statedBauds(missions);
    const downlinksHz = statedDownlinks(missions);
    const reading = { sampleRateHz, bauds, beacons, downlinksHz, ...hearing, ...this.alphabet() };
    this.band = new BandWatch(reading, band ?? null);
  }

  /** What is known of the complex band whose parts the channels are; null while they are sound. */
  get bandInfo(): BandInfo | null {
    return this.band.info;
  }

  /** What is to be said of how the band was read. */
  get bandProblem(): AudioProblem | null {
    return this.band.problem;
  }

  /** Seconds of samples taken. */
  get seconds(): number {
    return this.frames / this.options.sampleRateHz;
  }

  take(block: AudioBlock): void {
    if (this.band.take(block, (read) => this.hold(0, read))) {
      this.frames += block.frames;
      if (this.channels.length > 0) this.giveUpSound();
      return;
    }
    const { sampleRateHz, missions, onKeying } = this.options;
    this.distinct ??= new DistinctChannels(block.channels.length);
    for (const number of this.distinct.add(block)) {
      const startSeconds = this.seconds;
      const bauds = statedBauds(missions);
      const beacons = this.beacons.map((beacon) => ({ beacon, onSighting: this.presence.watch(beacon) }));
      const hearing = onKeying ? { onKeying } : {};
      const reader = new BurstReader({ sampleRateHz, startSeconds, bauds, beacons, ...hearing, ...this.alphabet() });
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

  /** Gives out what nothing can change any more. */
  settle(onEvent: (event: DecodeEvent) => void): void {
    this.settleUntil(this.seconds - (this.channels.length > 1 ? SETTLE_SECONDS : 0), onEvent);
  }

  /** Gives out the rest, and says which beacons were there without being read. */
  end(onEvent: (event: DecodeEvent) => void): BeaconPresence[] {
    for (const { number, reader } of this.channels) reader.end((read) => this.hold(number, read));
    this.band.end((read) => this.hold(0, read));
    this.settleUntil(Number.POSITIVE_INFINITY, onEvent);
    return this.presence.end(this.seconds);
  }

  /** The channels turned out to be the parts of a band: what its reader looks back on is not sound. */
  private giveUpSound(): void {
    this.channels = [];
    this.pending = this.pending.filter(({ read }) => read.burst.endSeconds < this.band.startSeconds);
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

  private settleUntil(untilSeconds: number, onEvent: (event: DecodeEvent) => void): void {
    this.pending.sort((a, b) => a.read.burst.startSeconds - b.read.burst.startSeconds);
    while (this.pending.length > 0 && this.pending[0].read.burst.endSeconds < untilSeconds) {
      const { channel, read } = this.pending[0];
      this.pending.shift();
      const event = this.burstEvent(read);
      if (!event) continue;
      this.bursts.set(channel, (this.bursts.get(channel) ?? 0) + 1);
      this.presence.take(event);
      onEvent(this.bandInfo === null ? { ...event, channel } : event);
    }
  }

  /** Null where there turns out to be no burst. */
  private burstEvent({ burst, signal }: ReadBurst): Extract<DecodeEvent, { type: 'burst' }> | null {
    const { missions, startedAt } = this.options;
    const isPractised = this.practised.length > 0 && isPractice(burst.text);
    const spoken = isPractised ? this.practised : missions;
    const read = readBurstFrames(signal, spoken, { receivedAt: startedAt ?? null });
    signal.elements.rest();
    if (!read) return null;
    // A piece that does not name practice could be taken for a piece of the mission's own.
    const matches = isPractised ? read.frames.filter(({ frame }) => isPractice(frame.text)) : read.frames;
    const frames = matches.map((match) => withReadings(match, startedAt ?? null));
    // A frame's slots count in the timing it was read by.
    const told = read.soft === burst.soft ? burst : withSoft(burst, read.soft, this.alphabet());
    return { type: 'burst', burst: told, frames };
  }

  /** The channel that most bursts came from. */
  get bestChannel(): number {
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

/** Frequencies on the air that the missions name. */
function statedDownlinks(missions: readonly Mission[]): number[] {
  return missions.flatMap(({ beacon }) => [beacon, ...beacon.also].flatMap(({ downlinkHz }) => downlinkHz ?? []));
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
