import type { Alphabet } from '../mission/types.ts';
import { type BurstLevel, ebN0Db } from '../signal/burst-level.ts';
import type { SampleHistory } from '../signal/history.ts';
import { printSoft } from '../teletype/print.ts';
import { ELEMENTS_PER_SLOT } from '../teletype/soft-characters.ts';
import type { SoftCharacters } from '../teletype/types.ts';
import { characterSeconds, type Keying } from './keying.ts';
import { aboveFloor, NoiseFloor } from './noise-floor.ts';
import type { Opening } from './openings.ts';
import { type OpeningReading, readOpening } from './read-opening.ts';
import { readWindow, type WindowReading } from './read-window.ts';
import { type SampleWindow, type TunedWindow, tuneWindow } from './tuned-window.ts';
import type { LiveCharacter } from './types.ts';

/** Characters that are timed together once a sender is heard, and while nobody is: a beginning shows in few. */
const WINDOW_CHARACTERS = 12;
const IDLE_CHARACTERS = 7;
/** A fast sender's characters pass in no time. */
const LEAST_WINDOW_SECONDS = 1;
/** A character is given out so long after its last element: what follows may still move it. */
const HELD_SECONDS = 0.12;
/** What shows only so long after it was sent was none: noise after the sender's end. */
const MOST_LATE_SECONDS = 0.6;
/** Weaker than this, what looks like characters is mostly noise. */
const LEAST_DB = 4;
/** Less of a window's power than this in the tones is what another, far stronger signal leaves there. */
const LEAST_SHARE = 0.01;
/** Characters to begin with, and what speaks for them over noise and voices, nats. */
const FEWEST_TO_BEGIN = 3;
const LEAST_TO_BEGIN = 40;
/** Fewer do when each is as clear as noise hardly ever makes one, nats, and none has its start or stop on the wrong tone. */
const FEWEST_CLEAR = 2;
const LEAST_CLEAR = 34;
const LEAST_OF_A_CLEAR = 16;
/** Log-likelihood ratio that start and stop of a clear character have at least. */
const LEAST_FRAMING = 1;
/** An opening is told when so much speaks for it over noise, and over other text at the same times, nats. */
const LEAST_TO_OPEN = 26;
const LEAST_OVER_TEXT = 8.5;
/** A sender's tones are about as loud as each other; those of voices and music are not. */
const MOST_APART_DB = 10;
const MOST_APART_CLEAR_DB = 5;
/** No sender is quiet so long within one transmission. */
const MOST_PAUSE_SECONDS = 2;
/** Of a long transmission the case in force is known without its beginning. */
const MOST_KEPT = 400;

/**
 * One sender being read as it sends: its characters in order, each given out once. Feed it at regular times of the stream.
 */
export class Reception {
  /** As it was measured last. */
  keying: Keying;
  /** When its last character ended; null before it was heard at all. */
  lastSeconds: number | null = null;
  private readonly history: SampleHistory;
  private readonly sampleRateHz: number;
  private readonly alphabet: Alphabet | null;
  private readonly first: Keying;
  private readonly openings: readonly Opening[];
  private readonly floor = new NoiseFloor();
  /** How it began, as long as that is being read. */
  private opened: Pick<OpeningReading, 'opening' | 'openedSeconds'> | null = null;
  private level: BurstLevel | null = null;
  private starts: number[] = [];
  private llr: number[] = [];
  private dropped = 0;

  /**
   * @param history working-rate samples, appended to before every `hear`
   * @param alphabet null when it is to be told from the signal
   * @param openings what its transmissions may begin with, as far as that is known
   */
  constructor(
    history: SampleHistory,
    sampleRateHz: number,
    keying: Keying,
    alphabet: Alphabet | null,
    openings: readonly Opening[],
  ) {
    this.history = history;
    this.sampleRateHz = sampleRateHz;
    this.keying = keying;
    this.first = keying;
    this.alphabet = alphabet;
    this.openings = openings;
  }

  /** Looks at what would be heard, without taking it: null when nobody is sending, or it is still too early to say. */
  listen(fromSeconds: number | null): WindowReading | OpeningReading | null {
    const window = this.window(fromSeconds);
    const tuned = tuneWindow(window, this.keying, this.level);
    if (this.lastSeconds === null) this.floor.take(tuned);
    const reading = this.open(tuned) ?? this.readOn(tuned);
    tuned.elements.rest();
    return reading !== null && shareOf(reading, tuned, window) >= LEAST_SHARE ? reading : null;
  }

  /** The window as a known beginning, from when it shows until enough has come to go on without. */
  private open(tuned: TunedWindow): OpeningReading | null {
    if (this.openings.length === 0 || (this.lastSeconds !== null && this.opened === null)) return null;
    const { level } = tuned.elements;
    const reading = readOpening(tuned, this.openings, this.opened, this.floor.power);
    if (reading !== null && mayOpen(reading)) return reading;
    tuned.elements.level = level;
    return null;
  }

  private readOn(tuned: TunedWindow): WindowReading | null {
    const reading = readWindow(tuned);
    if (reading === null || reading.ebN0Db < LEAST_DB) return null;
    if (this.lastSeconds !== null) return reading;
    return mayBegin(reading) && ebN0Db(aboveFloor(reading.level, this.floor.power)) >= LEAST_DB ? reading : null;
  }

  /** Takes what was heard; the characters that are complete and new. */
  take(reading: WindowReading | OpeningReading): Omit<LiveCharacter, 'type' | 'provisional' | 'reception'>[] {
    this.level = reading.level;
    this.keying = reading.keying;
    this.opened =
      'opening' in reading && reading.starts.length * ELEMENTS_PER_SLOT < reading.opening.elements.length
        ? reading
        : null;
    const nowSeconds = this.history.end / this.sampleRateHz;
    const lengthSeconds = ELEMENTS_PER_SLOT / this.keying.baud;
    const last = this.starts.at(-1);
    const after =
      last === undefined
        ? Number.NEGATIVE_INFINITY
        : Math.max(last + 0.6 * characterSeconds(this.keying), nowSeconds - lengthSeconds - MOST_LATE_SECONDS);
    const fresh: number[] = [];
    reading.starts.forEach((start, i) => {
      if (start <= after || start + lengthSeconds > nowSeconds - HELD_SECONDS) return;
      fresh.push(start);
      this.llr.push(...reading.elementLlr.subarray(i * ELEMENTS_PER_SLOT, (i + 1) * ELEMENTS_PER_SLOT));
    });
    if (fresh.length === 0) return [];
    this.starts.push(...fresh);
    this.forget();
    this.lastSeconds = fresh[fresh.length - 1] + lengthSeconds;
    const printed = printSoft(this.soft, this.alphabet === null ? {} : { alphabet: this.alphabet });
    const bySlot = new Map(printed.characters.map((character) => [character.slot, character]));
    const firstFresh = this.starts.length - fresh.length;
    return fresh.map((startSeconds, i) => {
      const slot = firstFresh + i;
      const elementLlr = this.llr.slice(slot * ELEMENTS_PER_SLOT, (slot + 1) * ELEMENTS_PER_SLOT);
      const character = bySlot.get(slot);
      return {
        slot: this.dropped + slot,
        startSeconds,
        endSeconds: startSeconds + lengthSeconds,
        code: codeOf(elementLlr),
        text: character?.text ?? '',
        confidence: character?.confidence ?? confidenceOf(elementLlr),
        elementLlr,
      };
    });
  }

  /** All characters since the reception began, as far as they are kept. */
  get soft(): SoftCharacters {
    return {
      count: this.starts.length,
      startSeconds: Float64Array.from(this.starts),
      elementLlr: Float32Array.from(this.llr),
    };
  }

  /** Whether the sender has been quiet for so long that what comes next is another transmission. */
  isOver(nowSeconds: number): boolean {
    return this.lastSeconds !== null && nowSeconds - this.lastSeconds > MOST_PAUSE_SECONDS;
  }

  /** Gets ready for the next transmission on the same tones. */
  clear(): void {
    this.keying = this.first;
    this.opened = null;
    this.level = null;
    this.lastSeconds = null;
    this.starts = [];
    this.llr = [];
    this.dropped = 0;
  }

  private window(fromSeconds: number | null): SampleWindow {
    const characters = this.lastSeconds === null ? IDLE_CHARACTERS : WINDOW_CHARACTERS;
    const seconds = Math.max(LEAST_WINDOW_SECONDS, characters * characterSeconds(this.keying));
    const { end } = this.history;
    const from = Math.min(
      end - seconds * this.sampleRateHz,
      (fromSeconds ?? Number.POSITIVE_INFINITY) * this.sampleRateHz,
    );
    const { samples, first } = this.history.slice(from, end);
    return { samples, sampleRateHz: this.sampleRateHz, startSeconds: first / this.sampleRateHz };
  }

  private forget(): void {
    const many = this.starts.length - MOST_KEPT;
    if (many <= 0) return;
    this.starts.splice(0, many);
    this.llr.splice(0, many * ELEMENTS_PER_SLOT);
    this.dropped += many;
  }
}

/** Whether what a window holds is enough to say that a sender has begun. */
function mayBegin({ starts: { length: count }, evidence, level, elementLlr }: WindowReading): boolean {
  const apartDb = Math.abs(10 * Math.log10(level.markLevel / level.spaceLevel));
  if (apartDb > MOST_APART_DB) return false;
  if (count >= FEWEST_TO_BEGIN && evidence >= LEAST_TO_BEGIN) return true;
  if (count < FEWEST_CLEAR || evidence < Math.max(LEAST_CLEAR, LEAST_OF_A_CLEAR * count)) return false;
  return apartDb <= MOST_APART_CLEAR_DB && isFramed(elementLlr);
}

/** Whether a known beginning shows clearly enough. */
function mayOpen({ starts, evidence, overText, level, ebN0Db }: OpeningReading): boolean {
  if (starts.length < FEWEST_CLEAR) return false;
  const apartDb = Math.abs(10 * Math.log10(level.markLevel / level.spaceLevel));
  return ebN0Db >= LEAST_DB && apartDb <= MOST_APART_DB && evidence >= LEAST_TO_OPEN && overText >= LEAST_OVER_TEXT;
}

function isFramed(elementLlr: Float64Array): boolean {
  for (let at = 0; at < elementLlr.length; at += ELEMENTS_PER_SLOT) {
    const start = elementLlr[at];
    const stop = elementLlr[at + ELEMENTS_PER_SLOT - 1];
    if (start > -LEAST_FRAMING || stop < LEAST_FRAMING) return false;
  }
  return true;
}

/** Share of a window's power that the tones hold, were they sent all the time. */
function shareOf({ level }: WindowReading, { amplitudeOfLevel }: TunedWindow, { samples }: SampleWindow): number {
  let power = 0;
  for (let i = 0; i < samples.length; i++) power += samples[i] * samples[i];
  const amplitude = amplitudeOfLevel * Math.max(level.markLevel, level.spaceLevel);
  return (amplitude * amplitude) / 2 / (power / samples.length + 1e-30);
}

function codeOf(elementLlr: readonly number[]): number {
  let code = 0;
  for (let bit = 0; bit < 5; bit++) if (elementLlr[1 + bit] > 0) code |= 1 << bit;
  return code;
}

function confidenceOf(elementLlr: readonly number[]): number {
  let confidence = 1;
  for (let bit = 0; bit < 5; bit++) confidence /= 1 + Math.exp(-Math.abs(elementLlr[1 + bit]));
  return confidence;
}
