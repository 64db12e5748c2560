import type { Mission } from '../mission/types.ts';
import { compileMission } from './compiled-mission.ts';
import { type MatchedFrame, matchFrames } from './match.ts';
import { matchPrinted } from './printed-match.ts';
import { typedSlots } from './typed-slots.ts';
import type { DecodedFrame, Trust } from './types.ts';

export interface TypedReading {
  readonly frames: readonly DecodedFrame[];
  /** What was assumed, in sentences. */
  readonly assumptions: readonly string[];
  /** Where no frame fits: the layout that came nearest, the place in the text where it stopped fitting, and what it wants there. */
  readonly nearest: NearestLayout | null;
}

export interface NearestLayout {
  readonly frame: string;
  /** Index into the text, in characters. */
  readonly at: number;
  /** Characters that may stand there; empty when the frame ends there. */
  readonly expected: string;
}

export interface TypedOptions {
  /** ISO 8601; selects the layouts in force. */
  readonly receivedAt?: string | null;
}

/** A frame may be broken over so many lines. */
const MOST_LINES = 4;
/** Longer lines are no teletype lines, and would cost what their length squared costs. */
const MOST_LINE_CHARACTERS = 4000;

/**
 * Reads typed or pasted text: lower case, broken lines, a time in front, marks for unknown characters, a lost shift.
 * What was typed is never confirmed by itself.
 */
export function readTypedText(mission: Mission, text: string, options: TypedOptions = {}): TypedReading {
  const lines = text.split(/\r\n|\r|\n/).flatMap(inPieces);
  const frames: DecodedFrame[] = [];
  const assumptions = new Set<string>();
  for (let first = 0; first < lines.length; ) {
    const best = readFrom(mission, lines, first, options);
    for (const { frame } of best.found) frames.push(frame);
    if (best.found.length > 0) for (const assumed of best.assumptions) assumptions.add(assumed);
    first += best.lines;
  }
  return { frames, assumptions: [...assumptions], nearest: frames.length > 0 ? null : nearestLayout(mission, text) };
}

interface LinesRead {
  readonly found: readonly MatchedFrame[];
  readonly assumptions: readonly string[];
  readonly lines: number;
}

/** Reads one line, and together with those after it where the line alone holds no whole frame. */
function readFrom(mission: Mission, lines: readonly string[], first: number, options: TypedOptions): LinesRead {
  const alone = readLines(mission, lines.slice(first, first + 1), options);
  if (alone.found.some(({ frame }) => frame.complete) || lines[first].trim() === '') return alone;
  for (let count = 2; count <= MOST_LINES && first + count <= lines.length; count++) {
    if (lines[first + count - 1].trim() === '') break;
    const joined = readLines(mission, lines.slice(first, first + count), options);
    if (joined.found.some(({ frame }) => frame.complete)) {
      return { ...joined, assumptions: [...joined.assumptions, SENTENCES['broken-line']] };
    }
  }
  return alone;
}

function readLines(mission: Mission, lines: readonly string[], options: TypedOptions): LinesRead {
  // The end of a line is typed, too: what stands there is over.
  const text = `${lines.join('\n')}\n`;
  const { soft, placeOfSlot, assumptions } = typedSlots(text, mission.beacon.alphabet, printedBy(mission));
  const found = matchFrames(soft, [mission], options);
  const said = assumptions.map((code) => SENTENCES[code] ?? code);
  const characters = Array.from(text);
  for (const { frame, fromSlot } of found) {
    const before = characters
      .slice(0, placeOfSlot[fromSlot] ?? 0)
      .join('')
      .trim();
    if (before !== '' && found.length === 1) said.push(`Text before the frame was left out: ${quoted(before)}.`);
    const typed = frame.characters.map(({ slot }) => (characters[placeOfSlot[slot]] ?? ' ').toUpperCase());
    const differing = frame.characters.filter(({ text: read }, i) => read !== typed[i] && read !== ' ');
    if (differing.length > 0) {
      const read = frame.characters.map(({ text: each }) => each).join('');
      said.push(`Read as ${quoted(read)}: ${differing.length} characters differ from what was typed.`);
    }
  }
  return {
    found: found.map((match) => ({ ...match, frame: asTyped(match.frame) })),
    assumptions: said,
    lines: lines.length,
  };
}

/** Typed lines carry no proof of what was heard. */
function asTyped(frame: DecodedFrame): DecodedFrame {
  const trust: Trust = frame.trust === 'confirmed' ? 'probable' : frame.trust;
  return { ...frame, trust, startSeconds: 0, endSeconds: 0 };
}

const SENTENCES: Readonly<Record<string, string>> = {
  'lower-case': 'Lower case was read as upper case.',
  'unknown-character': 'Marks for unknown characters were read as any character.',
  'character-not-in-alphabet': 'Characters that the beacon cannot send were read as any character.',
  'letter-in-number': 'O and I between digits were read as any character.',
  separator: 'Commas, points and the like, which this beacon does not send, were read as spaces.',
  'broken-line': 'Lines were joined to one frame.',
};

const printedOf = new WeakMap<Mission, ReadonlySet<string>>();

/** All characters that a mission's layouts can print. */
function printedBy(mission: Mission): ReadonlySet<string> {
  const known = printedOf.get(mission);
  if (known !== undefined) return known;
  const printed = new Set(
    compileMission(mission).flatMap(({ graph }) => graph.printed.edges.flatMap((edge) => [...edge.characters])),
  );
  printedOf.set(mission, printed);
  return printed;
}

function nearestLayout(mission: Mission, text: string): NearestLayout | null {
  const upper = text.toUpperCase();
  let nearest: NearestLayout | null = null;
  let most = 0;
  for (const layout of compileMission(mission)) {
    for (const start of wordStarts(upper)) {
      const match = matchPrinted(layout.graph.printed, upper.slice(start));
      if (match.matched || match.fitted <= most) continue;
      most = match.fitted;
      nearest = { frame: layout.frame, at: start + match.fitted, expected: match.expected };
    }
  }
  return nearest;
}

/** Enough words to pass a time, a station and a frequency before the frame. */
const MOST_STARTS = 12;

function wordStarts(text: string): number[] {
  const starts: number[] = [];
  for (const { index } of text.matchAll(/\S+/g)) {
    starts.push(index);
    if (starts.length === MOST_STARTS) break;
  }
  return starts;
}

function inPieces(line: string): string[] {
  if (line.length <= MOST_LINE_CHARACTERS) return [line];
  const pieces: string[] = [];
  for (let at = 0; at < line.length; at += MOST_LINE_CHARACTERS) pieces.push(line.slice(at, at + MOST_LINE_CHARACTERS));
  return pieces;
}

function quoted(text: string): string {
  const short = text.length > 60 ? `${text.slice(0, 60)}...` : text;
  return JSON.stringify(short);
}
