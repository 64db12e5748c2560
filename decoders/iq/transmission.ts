import type { ReadBurst } from '../teletype/read-acquired.ts';
import type { Burst } from '../teletype/types.ts';
import { type BandCopy, sameTransmission } from './band-copy.ts';
import type { BandHistory } from './band-history.ts';
import { hzAt, type Tuning } from './band-view.ts';
import { betweenTracks, carrierOf } from './carrier-track.ts';
import { type FmReadingOptions, readFm } from './fm-reading.ts';

/** Side bands of one order are equally strong; the image of a receiver whose two parts differ is far weaker. */
const MOST_LEVEL_RATIO = 2;
const MOST_SHIFT_RATIO = 1.05;
/** An FM carrier's spectrum reaches so far on either side; nothing else weaker by so much is read there while it is on. */
const CHANNEL_HZ = 8000;
const PART_DB = 5;

/** All copies of one transmission that a band holds. */
export class Transmission {
  readonly copies: BandCopy[];
  /** Stream time of the first. */
  readonly readAtSeconds: number;

  constructor(copy: BandCopy, readAtSeconds: number) {
    this.copies = [copy];
    this.readAtSeconds = readAtSeconds;
  }

  holds(copy: BandCopy): boolean {
    return this.copies.some(({ read }) => sameTransmission(read, copy.read));
  }

  /**
   * Whether another is but a part of this one's spectrum: weak tones among the side bands of an FM carrier, while it was on.
   */
  covers(other: Transmission): boolean {
    const pair = other === this ? null : mirroredPair(this.copies);
    if (pair === null) return false;
    const [mine, part] = [clearest(this.copies), clearest(other.copies)];
    const common = Math.min(mine.endSeconds, part.endSeconds) - Math.max(mine.startSeconds, part.startSeconds);
    const away = part.tuning.hz - hzAt(between(pair), part.tuning.seconds);
    return (
      common > 0.8 * (part.endSeconds - part.startSeconds) &&
      Math.abs(away) < CHANNEL_HZ &&
      part.read.burst.ebN0Db < mine.read.burst.ebN0Db - PART_DB
    );
  }

  /** What counts of it: the clearest copy, and where its carrier stood. */
  settle(history: BandHistory, options: FmReadingOptions): ReadBurst {
    const mirrored = mirroredPair(this.copies);
    return mirrored === null ? keyedCarrier(clearest(this.copies)) : fmCarrier(this.copies, mirrored, history, options);
  }
}

function clearest(copies: readonly BandCopy[]): BandCopy {
  return copies.reduce((best, copy) => (copy.read.burst.ebN0Db > best.read.burst.ebN0Db ? copy : best));
}

/** The carrier itself is keyed: its tones are where they are in the band. */
function keyedCarrier({ read, tuning, track }: BandCopy): ReadBurst {
  const half = (read.burst.markHz - read.burst.spaceHz) / 2;
  const tones = { markHz: tuning.hz + half, spaceHz: tuning.hz - half, driftHzPerSecond: tuning.hzPerSecond };
  return { ...read, burst: { ...read.burst, ...tones, ...withCarrier(carrierOf('fsk', track(), tuning.seconds)) } };
}

type Pair = readonly [BandCopy, BandCopy];

/**
 * Tones that modulate a carrier in frequency stand on either side of it, in mirror image: as far apart as each other, mark
 * above space on one side and below it on the other. Null where there is no such pair, and the copies are of a keyed carrier.
 */
function mirroredPair(copies: readonly BandCopy[]): Pair | null {
  let best: Pair | null = null;
  const worth = ([a, b]: Pair): number => Math.min(a.read.burst.ebN0Db, b.read.burst.ebN0Db);
  for (const [i, a] of copies.entries()) {
    for (const b of copies.slice(i + 1)) {
      if (a.isReversed === b.isReversed) continue;
      if (ratioOf(a.shiftHz, b.shiftHz) > MOST_SHIFT_RATIO || ratioOf(a.level, b.level) > MOST_LEVEL_RATIO) continue;
      if (best === null || worth([a, b]) > worth(best)) best = [a, b];
    }
  }
  return best;
}

const ratioOf = (a: number, b: number): number => Math.max(a / b, b / a);

function fmCarrier(
  copies: readonly BandCopy[],
  [a, b]: Pair,
  history: BandHistory,
  options: FmReadingOptions,
): ReadBurst {
  const tuning = between([a, b]);
  const { seconds } = tuning;
  const carrier = withCarrier(carrierOf('fm', betweenTracks(a.track(), b.track()), seconds));
  const best = clearest(copies);
  const discriminated = readFm(history, tuning, best.read.burst, options);
  if (discriminated && discriminated.burst.ebN0Db >= best.read.burst.ebN0Db) {
    return { ...discriminated, burst: { ...discriminated.burst, ...carrier } };
  }
  const isHeard = discriminated !== null && sameTransmission(discriminated, best.read);
  const tones = isHeard ? tonesOf(discriminated.burst) : audioTones(copies, best, tuning);
  return { ...best.read, burst: { ...best.read.burst, ...tones, ...carrier } };
}

/** The middle between two copies: the carrier, when they are its side bands. */
function between([a, b]: Pair): Tuning {
  const { seconds } = a.tuning;
  return {
    seconds,
    hz: (a.tuning.hz + hzAt(b.tuning, seconds)) / 2,
    hzPerSecond: (a.tuning.hzPerSecond + b.tuning.hzPerSecond) / 2,
    hzPerSecond2: (a.tuning.hzPerSecond2 + b.tuning.hzPerSecond2) / 2,
  };
}

type Tones = Pick<Burst, 'markHz' | 'spaceHz' | 'reversed' | 'driftHzPerSecond'>;

const tonesOf = ({ markHz, spaceHz, reversed, driftHzPerSecond }: Burst): Tones => ({
  markHz,
  spaceHz,
  reversed,
  driftHzPerSecond,
});

/** Tones that the discriminator would give: what the distance of the nearest side band from the carrier tells. */
function audioTones(copies: readonly BandCopy[], copy: BandCopy, carrier: Tuning): Tones {
  const distance = ({ tuning }: BandCopy): number => tuning.hz - hzAt(carrier, tuning.seconds);
  const nearest = Math.min(...copies.map((each) => Math.abs(distance(each))));
  const away = distance(copy);
  const order = Math.max(1, Math.round(Math.abs(away) / nearest)) * Math.sign(away);
  const half = (copy.read.burst.markHz - copy.read.burst.spaceHz) / 2;
  const markHz = (away + half) / order;
  const spaceHz = (away - half) / order;
  return { markHz, spaceHz, reversed: markHz > spaceHz, driftHzPerSecond: 0 };
}

function withCarrier(carrier: ReturnType<typeof carrierOf>): Pick<Burst, 'carrier'> {
  return carrier === null ? {} : { carrier };
}
