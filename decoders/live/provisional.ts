import { withReadings } from '../frame-readings.ts';
import type { MissionBeacon } from '../frames/known-beacons.ts';
import { matchFrames } from '../frames/match.ts';
import type { Alphabet, Mission } from '../mission/types.ts';
import { WORKING_RATE_HZ } from '../signal/decimate.ts';
import { SampleHistory } from '../signal/history.ts';
import type { Acquisition } from '../signal/types.ts';
import type { Burst } from '../teletype/types.ts';
import { isSameSignal, type Keying, keyingAt } from './keying.ts';
import { type Opening, openingsOf } from './openings.ts';
import type { WindowReading } from './read-window.ts';
import { Reception } from './reception.ts';
import type { LiveEvent } from './types.ts';

/** 33 s at the working rate: the longest search window, and what was heard before it was found. */
const HISTORY_SAMPLES = 1 << 18;
/** Every reception is heard so often. */
const HOP_SAMPLES = WORKING_RATE_HZ / 10;
/** Searches see the same keying again and again, and now and then some that is none. */
const MOST_FOUND = 3;
/** What a search found is given up when so long nothing came of it. */
const PATIENCE_SECONDS = 3;
/** Side lobes reach so many element rates beyond the tones. */
const BESIDE_SPEEDS = 2.5;
/** A pause within which a sender usually goes on with its line. */
const LINE_PAUSE_SECONDS = 0.35;
/** Receptions are remembered until their bursts are settled. */
const MOST_REMEMBERED = 64;

/** A reception with what was said of it. */
interface Heard {
  readonly reception: Reception;
  /** Made for a beacon that is always listened for. */
  readonly isKnown: boolean;
  /** Where to begin the first time: what was sent before the search found it is caught up on. */
  catchUpSeconds: number | null;
  readonly untilSeconds: number;
  /** Null before anything was heard of it. */
  number: number | null;
  /** Frames of all that has come were looked for. */
  matched: boolean;
}

interface Remembered {
  readonly number: number;
  readonly keying: Keying;
  readonly startSeconds: number;
  endSeconds: number;
}

/**
 * Everything that is read before its burst is settled: known beacons are listened for all the time, other senders from when
 * a search has found them. Takes samples at the working rate.
 */
export class Provisional {
  private readonly missions: readonly Mission[];
  private readonly startedAt: string | null;
  private readonly alphabet: Alphabet | null;
  private readonly history = new SampleHistory(HISTORY_SAMPLES);
  private heard: Heard[];
  private readonly remembered: Remembered[] = [];
  private numbers = 0;

  constructor(missions: readonly Mission[], beacons: readonly MissionBeacon[], startedAt: string | null) {
    this.missions = missions;
    this.startedAt = startedAt;
    const alphabets = new Set(missions.map(({ beacon }) => beacon.alphabet));
    const [only] = alphabets;
    this.alphabet = alphabets.size === 1 ? only : null;
    this.heard = beacons.map((beacon) => {
      const { baud, stopElements, markHz, spaceHz } = beacon;
      const keying = { baud, stopElements, markHz, spaceHz, driftHzPerSecond: 0, atSeconds: 0 };
      return this.hearing(keying, null, openingsOf(beacon));
    });
  }

  /** Takes keying that a search came upon, unless it is being heard. */
  acquire(found: Acquisition): void {
    const now = this.seconds;
    const { baud, stopElements, markHz, spaceHz, driftHzPerSecond, startSeconds, endSeconds } = found;
    const atSeconds = (startSeconds + endSeconds) / 2;
    const keying = { baud, stopElements, markHz, spaceHz, driftHzPerSecond, atSeconds };
    const known = this.heard.some(
      ({ reception, number, isKnown }) =>
        (number !== null || !isKnown) && isSameSignal(reception.keying, keying, atSeconds),
    );
    if (
      known ||
      this.isBesideAnother(keying, atSeconds) ||
      this.heard.filter(({ isKnown }) => !isKnown).length >= MOST_FOUND
    )
      return;
    // What a reception that is over has read is not read again.
    const read = this.remembered
      .filter((one) => isSameSignal(one.keying, keying, one.keying.atSeconds))
      .reduce((last, one) => Math.max(last, one.endSeconds), startSeconds - 1);
    if (read >= endSeconds - 1) return;
    this.heard.push(this.hearing(keying, { fromSeconds: read, untilSeconds: now + PATIENCE_SECONDS }));
  }

  take(samples: Float32Array, onEvent: (event: LiveEvent) => void): void {
    for (let at = 0; at < samples.length; ) {
      const piece = samples.subarray(at, at + HOP_SAMPLES - (this.history.end % HOP_SAMPLES));
      this.history.append(piece);
      at += piece.length;
      if (this.history.end % HOP_SAMPLES === 0) this.hop(onEvent);
    }
  }

  end(onEvent: (event: LiveEvent) => void): void {
    for (const one of this.heard) this.release(one, onEvent);
  }

  /** Which receptions guessed at a burst. */
  receptionsOf({ startSeconds, endSeconds, ...burst }: Burst): number[] {
    return this.remembered
      .filter((one) => one.startSeconds < endSeconds && one.endSeconds > startSeconds)
      .filter(({ keying }) => isSameSignal(keying, burst, keying.atSeconds))
      .map(({ number }) => number);
  }

  private get seconds(): number {
    return this.history.end / WORKING_RATE_HZ;
  }

  private hearing(
    keying: Keying,
    found: { fromSeconds: number; untilSeconds: number } | null,
    openings: readonly Opening[] = [],
  ): Heard {
    return {
      reception: new Reception(this.history, WORKING_RATE_HZ, keying, this.alphabet, openings),
      isKnown: found === null,
      catchUpSeconds: found?.fromSeconds ?? null,
      untilSeconds: found?.untilSeconds ?? Number.POSITIVE_INFINITY,
      number: null,
      matched: true,
    };
  }

  private hop(onEvent: (event: LiveEvent) => void): void {
    const now = this.seconds;
    const readings: { readonly one: Heard; readonly reading: WindowReading }[] = [];
    for (const one of this.heard) {
      const reading = one.reception.listen(one.catchUpSeconds);
      if (reading !== null) readings.push({ one, reading });
    }
    // Who is being heard comes first; of several that begin on the same tones, the one that explains most.
    readings.sort(
      (a, b) =>
        Number(b.one.number !== null) - Number(a.one.number !== null) || b.reading.evidence - a.reading.evidence,
    );
    for (const { one, reading } of readings) {
      if (one.number === null && this.isHeardByAnother(one, now)) continue;
      this.tell(one, reading, onEvent);
    }
    for (const one of this.heard) this.pause(one, onEvent);
    this.heard = this.heard.filter(
      ({ isKnown, number, untilSeconds }) => isKnown || number !== null || untilSeconds > now,
    );
  }

  /** Whether a stronger sender that is being heard leaves its side lobes there. */
  private isBesideAnother({ markHz, spaceHz, baud }: Keying, atSeconds: number): boolean {
    return this.heard.some(({ reception, number }) => {
      if (number === null) return false;
      const other = keyingAt(reception.keying, atSeconds);
      const reach = BESIDE_SPEEDS * Math.max(baud, other.baud);
      const isAbove = Math.min(markHz, spaceHz) > Math.max(other.markHz, other.spaceHz) + reach;
      const isBelow = Math.max(markHz, spaceHz) < Math.min(other.markHz, other.spaceHz) - reach;
      return !isAbove && !isBelow;
    });
  }

  private isHeardByAnother(one: Heard, now: number): boolean {
    return this.heard.some(
      (other) =>
        other !== one && other.number !== null && isSameSignal(other.reception.keying, one.reception.keying, now),
    );
  }

  private tell(one: Heard, reading: WindowReading, onEvent: (event: LiveEvent) => void): void {
    const characters = one.reception.take(reading);
    one.catchUpSeconds = null;
    if (characters.length === 0) return;
    const { keying } = one.reception;
    const endSeconds = characters[characters.length - 1].endSeconds;
    if (one.number === null) {
      const [{ startSeconds }] = characters;
      one.number = this.numbers++;
      this.remembered.push({ number: one.number, keying, startSeconds, endSeconds });
      if (this.remembered.length > MOST_REMEMBERED) this.remembered.shift();
      const { baud, markHz, spaceHz } = keying;
      onEvent({ type: 'acquired', reception: one.number, startSeconds, baud, markHz, spaceHz });
    }
    const { number } = one;
    const known = this.remembered.find((other) => other.number === number);
    if (known) known.endSeconds = endSeconds;
    one.matched = false;
    for (const character of characters) {
      onEvent({ type: 'character', provisional: true, reception: number, ...character });
    }
  }

  /** Looks for frames when the sender pauses, and lets go of it when it is over. */
  private pause(one: Heard, onEvent: (event: LiveEvent) => void): void {
    const { lastSeconds } = one.reception;
    if (one.number === null || lastSeconds === null) return;
    const now = this.seconds;
    if (now - lastSeconds > LINE_PAUSE_SECONDS) this.match(one, one.number, onEvent);
    if (one.reception.isOver(now)) this.release(one, onEvent);
  }

  private match(one: Heard, reception: number, onEvent: (event: LiveEvent) => void): void {
    if (one.matched) return;
    one.matched = true;
    const matches = matchFrames(one.reception.soft, this.missions, { receivedAt: this.startedAt });
    if (matches.length === 0) return;
    const frames = matches.map((match) => withReadings(match, this.startedAt));
    onEvent({ type: 'frames', provisional: true, reception, frames });
  }

  private release(one: Heard, onEvent: (event: LiveEvent) => void): void {
    const { number, reception } = one;
    if (number === null) return;
    this.match(one, number, onEvent);
    onEvent({ type: 'released', reception: number, endSeconds: reception.lastSeconds ?? this.seconds });
    reception.clear();
    one.number = null;
  }
}
