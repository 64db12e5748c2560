import type { Candidate, CandidateCharacter } from './candidates.ts';
import type { CompiledLayout } from './compiled-mission.ts';
import { type CharacterOwner, checkText, rightCheckText } from './coverage.ts';
import type { Leap } from './derived-parts.ts';
import { endingWeight } from './ending.ts';
import { complementText } from './field-form.ts';
import type { SlotScores } from './slot-scores.ts';

/** One character of a candidate written out, with what it belongs to. */
export interface WrittenCharacter {
  readonly character: string;
  readonly owner: CharacterOwner;
  readonly slot: number;
  /** Edge of the printed graph; null inside derived parts. */
  readonly edge: number | null;
}

/**
 * What repeated fields add to a weight in which they are free, as ln: in this candidate, and in any at most. Unlike a checksum they
 * go as well with many readings, all that have these fields alike.
 */
export interface CopiesHeard {
  readonly logGain: number;
  readonly logMost: number;
}

const NO_COPIES: CopiesHeard = { logGain: 0, logMost: 0 };

/** Of a gain by all derived parts what copies have of it; at most, where a checksum may have had the rest. */
export function copiesWithin(logGain: number, logMost: number, checked: boolean): CopiesHeard {
  return { logGain: checked ? logMost : Math.min(logGain, logMost), logMost };
}

/** A candidate with its derived parts written out. */
export interface WrittenCandidate {
  readonly candidate: Candidate;
  readonly characters: readonly WrittenCharacter[];
  /** Text of everything but the derived parts, divided into fields: what tells candidates apart. */
  readonly content: string;
  /** ln weight when the derived parts must be what they are derived from; -Infinity when they cannot stand there. */
  readonly logConsistent: number;
  readonly copies: CopiesHeard;
  /** Whether some checksum could be worked out at all. */
  readonly checked: boolean;
}

/** Works out what the derived parts must be, and how well that fits what was received in their place. */
export function writeConsistent(layout: CompiledLayout, candidate: Candidate, scores: SlotScores): WrittenCandidate {
  const texts = derivedTexts(layout, candidate);
  let logConsistent = candidate.logWeight;
  let checked = false;
  let logGain = 0;
  let logMost = 0;
  const written = write(layout, candidate, (leap) => {
    const text = texts.get(leap);
    if (text === undefined) return layout.parts.received(leap, scores);
    const fit = layout.parts.fit(leap, text, scores);
    const gain = (fit?.logLikelihood ?? Number.NEGATIVE_INFINITY) - leap.logSum;
    logConsistent += gain;
    if (layout.parts.owners[leap.part].kind === 'check') {
      checked = true;
    } else {
      logGain += gain;
      logMost += layout.parts.surprise(leap.part, layout.graph.nodeOfState[leap.fromState], text);
    }
    return { text, slots: fit?.slots ?? [] };
  });
  logConsistent += endingWeight(layout, written.characters.at(-1), candidate.toSlot, scores);
  return { candidate, ...written, logConsistent, copies: { logGain, logMost }, checked };
}

/** Writes a candidate with its derived parts as they were received. */
export function writeReceived(layout: CompiledLayout, candidate: Candidate, scores: SlotScores): WrittenCandidate {
  const written = write(layout, candidate, (leap) => layout.parts.received(leap, scores));
  return { candidate, ...written, logConsistent: candidate.logWeight, copies: NO_COPIES, checked: false };
}

function write(
  layout: CompiledLayout,
  candidate: Pick<Candidate, 'items'>,
  fill: (leap: Leap) => { readonly text: string; readonly slots: readonly number[] },
): { readonly characters: WrittenCharacter[]; readonly content: string } {
  const characters: WrittenCharacter[] = [];
  let content = '';
  let field = '';
  for (const item of candidate.items) {
    if (item.kind === 'character') {
      const owner = ownerOf(layout, item);
      // In a piece of a frame the same digits may be those of one field or of another.
      const within = owner.kind === 'field' ? owner.field : '';
      content += within === field ? item.text : `\n${within}:${item.text}`;
      field = within;
      characters.push({ character: item.text, owner, slot: item.slot, edge: item.edge });
      continue;
    }
    const { text, slots } = fill(item.leap);
    const owner = layout.parts.owners[item.leap.part];
    for (let i = 0; i < text.length; i++) {
      characters.push({ character: text[i], owner, slot: slots[i] ?? item.leap.fromSlot, edge: null });
    }
  }
  return { characters, content };
}

function ownerOf(layout: CompiledLayout, item: CandidateCharacter): CharacterOwner {
  return layout.graph.printed.edges[item.edge].owner;
}

/** Whether a checksum is among the derived parts. */
export function holdsCheck({ parts }: CompiledLayout, items: Candidate['items']): boolean {
  return items.some((item) => item.kind === 'leap' && parts.owners[item.leap.part].kind === 'check');
}

/** The text each leap must have; a leap whose text cannot be worked out is left out. */
export function derivedTexts(layout: CompiledLayout, candidate: Pick<Candidate, 'items'>): Map<Leap, string> {
  const { printed } = layout.graph;
  const texts = new Map<Leap, string>();
  const leaps = candidate.items.flatMap((item) => (item.kind === 'leap' ? [item.leap] : []));
  if (leaps.length === 0) return texts;
  // Copies of fields first, then checks in layout order: a check may cover what stands before it.
  for (const leap of leaps) {
    const owner = layout.parts.owners[leap.part];
    if (owner.kind !== 'again') continue;
    const field = printed.fields.find(({ field }) => field === owner.field);
    const text = fieldTextOf(layout, candidate, owner.field);
    if (!field || text === '') continue;
    texts.set(leap, owner.complement ? complementText(field.form, text, field.missing) : text);
  }
  const checkLeaps = leaps.filter((leap) => layout.parts.owners[leap.part].kind === 'check');
  for (const leap of checkLeaps) {
    const owner = layout.parts.owners[leap.part];
    if (owner.kind !== 'check') continue;
    const { characters } = write(layout, candidate, (each) => {
      const other = layout.parts.owners[each.part];
      const known = texts.get(each) ?? (other.kind === 'check' ? checkText(printed.checks[other.index], 0) : '');
      return { text: known, slots: [] };
    });
    const text = rightCheckText(printed.checks[owner.index], owner.index, characters, layout.codesOf, layout.isHex);
    if (text !== null) texts.set(leap, text);
  }
  return texts;
}

function fieldTextOf(layout: CompiledLayout, candidate: Pick<Candidate, 'items'>, field: string): string {
  let text = '';
  for (const item of candidate.items) {
    if (item.kind !== 'character') continue;
    const owner = ownerOf(layout, item);
    if (owner.kind === 'field' && owner.field === field) text += item.text;
  }
  return text;
}
