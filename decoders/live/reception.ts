import type { Alphabet } from '../mission/types.ts';
import type { BurstLevel } from '../signal/burst-level.ts';
import type { SampleHistory } from '../signal/history.ts';
import { printSoft } from '../teletype/print.ts';
import { ELEMENTS_PER_SLOT } from '../teletype/soft-characters.ts';
import type { SoftCharacters } from '../teletype/types.ts';
import { LEAST_DB, mayBegin, mayOpen } from './beginning.ts';
import { characterSeconds, type Keying } from './keying.ts';
import { NoiseFloor } from './noise-floor.ts';
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
/** Less of a window's power than this in the tones is what another, far stronger signal leaves there. */
const LEAST_SHARE = 0.01;
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
    return mayBegin(reading, this.floor.power) ? reading : null;
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
