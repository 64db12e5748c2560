import { findCodes } from '../teletype/alphabets.ts';
import { CODE_COUNT } from '../teletype/soft-characters.ts';
import type { SoftCharacters } from '../teletype/types.ts';
import {
  CLEARLY_AGAINST,
  CONTRADICTED_CONFIDENCE,
  END_LOST_TOO,
  LOOSE_CONFIDENCE,
  PROBABLE_POSTERIOR,
  SISTER_SENDER,
  SISTER_UNCHECKED,
  WRONG_CHECKSUM_SENT,
} from './accept.ts';
import { mostAgainst } from './against.ts';
import { type Candidate, listCandidates } from './candidates.ts';
import type { CompiledLayout } from './compiled-mission.ts';
import { completeFieldText } from './complete-field.ts';
import { mightGoOnWith } from './ending.ts';
import { fieldValue } from './field-form.ts';
import { fieldsHeld } from './held-fields.ts';
import { type LostCharacters, lostCharacters } from './lost-characters.ts';
import { hasOneLength } from './one-length.ts';
import { cutWeight, type Region, type Span } from './scan.ts';
import type { SlotScores } from './slot-scores.ts';
import { logAdd, totalMass } from './total-mass.ts';
import { trustOf } from './trust.ts';
import type { ChecksumState, DecodedField, DecodedFrame, FrameCharacter } from './types.ts';
import { type WrittenCandidate, type WrittenCharacter, writeConsistent, writeReceived } from './write-candidate.ts';

export interface DecisionInput {
  readonly layout: CompiledLayout;
  /** All layouts that might have been sent instead, `layout` among them. */
  readonly rivals: readonly CompiledLayout[];
  readonly span: Span;
  readonly region: Region;
  readonly scores: SlotScores;
  readonly soft: SoftCharacters;
}

const MOST_CANDIDATES = 1000;
/** Once all that is not listed weighs so much less (nats) than the best, listing more cannot change the decision. */
const SETTLED = Math.log(1e6);
const SETTLED_UNCHECKED = Math.log(1e4);

/** Readings with the same content, their weights summed: free, and with derived parts consistent. */
export interface Content {
  best: WrittenCandidate;
  logFree: number;
  logConsistent: number;
}

/** Candidates of one frame weighed against all that is not listed; masses are ln over text without layout. */
export interface Weighed {
  readonly contents: ReadonlyMap<string, Content>;
  /** All content, checksums free. */
  readonly free: number;
  /** The part of `free` that no candidate lists. */
  readonly unlisted: number;
  readonly listedConsistent: number;
  /** Whether some checksum could be worked out. */
  readonly checked: boolean;
}

/**
 * Weighs candidates as they come, likeliest first, until those left out cannot matter. Null when there are none.
 */
export function weigh(candidates: Iterable<WrittenCandidate>, free: number): Weighed | null {
  const contents = new Map<string, Content>();
  let listedFree = Number.NEGATIVE_INFINITY;
  let listedConsistent = Number.NEGATIVE_INFINITY;
  let mostConsistent = Number.NEGATIVE_INFINITY;
  let unlisted = free;
  let checked = false;
  let listed = 0;
  for (const written of candidates) {
    checked ||= written.checked;
    listedFree = logAdd(listedFree, written.candidate.logWeight);
    listedConsistent = logAdd(listedConsistent, written.logConsistent);
    unlisted = free + Math.log(Math.max(1e-12, 1 - Math.exp(listedFree - free)));
    const content = collect(contents, written);
    mostConsistent = Math.max(mostConsistent, content.logConsistent);
    if (++listed >= MOST_CANDIDATES || unlisted < mostConsistent - (checked ? SETTLED : SETTLED_UNCHECKED)) break;
  }
  return listed === 0 ? null : { contents, free: Math.max(free, listedFree), unlisted, listedConsistent, checked };
}

/** Reads one frame from its soft characters and says how surely; null when nothing fits. */
export function decideFrame(input: DecisionInput): DecodedFrame | null {
  const { layout, scores, span, region } = input;
  const write = span.startsWhole && span.endsWhole ? writeConsistent : writeReceived;
  const free = totalMass(layout.graph, scores, region, span);
  const weighed = weigh(
    written(listCandidates({ graph: layout.graph, parts: layout.parts, scores, region, span }), (candidate) =>
      write(layout, candidate, scores),
    ),
    free,
  );
  if (!weighed) return null;
  const rivals = input.rivals
    .filter((rival) => rival !== layout)
    .map((rival) => totalMass(rival.graph, scores, region, span));
  return judge(input, weighed, [...rivals, ...cutAtBothEnds(input, free)]);
}

/**
 * A frame without its beginning is placed by its end: unless that was lost, too, and what is there stands elsewhere in the
 * layout. Mass of all these places.
 */
function cutAtBothEnds({ layout: { graph }, scores, region, span }: DecisionInput, placed: number): number[] {
  if (span.startsWhole || !span.endsWhole) return [];
  const anywhere = totalMass(graph, scores, region, { startsWhole: false, endsWhole: false }) - cutWeight(graph);
  const elsewhere = anywhere + Math.log1p(-Math.min(1 - 1e-9, Math.exp(placed - anywhere)));
  return [elsewhere + Math.log(END_LOST_TOO / Math.max(1, span.to - span.from))];
}

function* written(
  candidates: Iterable<Candidate>,
  write: (candidate: Candidate) => WrittenCandidate,
): Generator<WrittenCandidate, void, void> {
  for (const candidate of candidates) yield write(candidate);
}

/** Tells of a frame whose checksum rules out what was most likely read. */
export const CONTRADICTED_NOTE = 'checksum-contradicts-text';
/** Tells of a reading that a slot clearly speaks against. */
export const AGAINST_NOTE = 'clearly-against';

/** Whether the checksum rules out what was certainly read: then the frame was sent with a wrong one. */
export function isContradicted(weighed: Weighed): boolean {
  const { free, unlisted, listedConsistent, checked } = weighed;
  const wrongCheck = checked ? WRONG_CHECKSUM_SENT : 0;
  return Math.log(wrongCheck) + free > Math.log1p(-wrongCheck) + logAdd(listedConsistent, unlisted);
}

/**
 * The decision. The posterior weighs the best reading against every other content that the layout allows (those not
 * listed through their exact total), against other layouts (`rivals`: their masses), against a frame sent with a wrong
 * checksum, against a sister satellite, and against text without layout.
 */
export function judge(
  input: Pick<DecisionInput, 'layout' | 'span' | 'scores' | 'soft'>,
  weighed: Weighed,
  rivals: readonly number[],
): DecodedFrame {
  const { layout, scores, span } = input;
  const { contents, free, unlisted, checked } = weighed;
  const whole = span.startsWhole && span.endsWhole;
  const wrongCheck = checked ? WRONG_CHECKSUM_SENT : 0;
  const rightCheck = Math.log1p(-wrongCheck);
  const contradicted = isContradicted(weighed);
  const best = likeliest(contents, (content) => (contradicted ? content.logFree : content.logConsistent));
  const reading = contradicted ? writeReceived(layout, best.best.candidate, scores) : best.best;
  const bestFree = likeliest(contents, (content) => content.logFree);
  const isNameChecked = literalsChecked(layout);
  const sisterMass = Math.log((isNameChecked ? SISTER_SENDER : SISTER_UNCHECKED) * sisterOdds(layout, reading, scores));
  const total = [
    rightCheck + logAdd(weighed.listedConsistent, unlisted),
    Math.log(wrongCheck) + free,
    sisterMass + (isNameChecked ? best.logFree : best.logConsistent),
    NO_LAYOUT,
    ...rivals,
  ].reduce(logAdd);
  // A content that was sent with a wrong checksum is as right as one that was sent with its own.
  const asSentWrong = Math.log(wrongCheck) + best.logFree;
  const logBest = contradicted ? asSentWrong : logAdd(asSentWrong, rightCheck + best.logConsistent);
  const lost = whole ? lostCharacters(layout.graph.printed, reading.characters, input.soft) : NOTHING_LOST;
  // A text of which a character was lost fits its checksum by chance alone.
  const lostMass = Math.log(lost.chance) + (checked ? best.logFree : logBest);
  const lostShare = Math.exp(lostMass - logAdd(total, lostMass));
  const posterior = Math.min(1, Math.exp(logBest - logAdd(total, lostMass)));
  const foreignNatsPerCharacter = foreignNats(layout, reading, scores);
  const confidenceOf = (same: (content: Content) => boolean, alone: number): number => {
    let agreeing = Math.log(Math.max(alone, 1e-300)) + unlisted;
    for (const content of contents.values()) {
      if (!same(content)) continue;
      agreeing = logAdd(agreeing, rightCheck + content.logConsistent);
      agreeing = logAdd(agreeing, Math.log(wrongCheck) + content.logFree);
    }
    const confidence = Math.min(1, Math.exp(agreeing - total));
    return contradicted ? Math.min(confidence, CONTRADICTED_CONFIDENCE) : confidence;
  };
  const notes: string[] = [];
  if (contradicted) notes.push(CONTRADICTED_NOTE);
  if (foreignNatsPerCharacter > layout.mission.accept.foreignBelow) notes.push('foreign-text');
  if (sisterMass > 0) notes.push('other-literal-heard');
  // ln of how seldom a checksum fits by chance.
  const borneOut = whole && checked && !contradicted ? Math.max(0, best.logConsistent - best.logFree) : 0;
  const isAgainst = mostAgainst(layout, reading.characters, scores) > CLEARLY_AGAINST + borneOut;
  if (isAgainst) notes.push(AGAINST_NOTE);
  const certainFree = Math.exp(bestFree.logFree - free) >= PROBABLE_POSTERIOR;
  const alone = reading.characters.map((character) => confidenceAlone(layout, character, scores));
  // Of what is not listed nobody knows where its fields stand, unless they can only stand where they do.
  const isPlaced = whole && (hasOneLength(layout) || unlisted - total < Math.log(1 - PROBABLE_POSTERIOR));
  const isWell = isPlaced ? () => true : fieldsHeld(layout.graph.printed, reading.characters, alone, input.soft);
  const last = reading.characters.at(-1);
  // A number with which a burst ends may have been cut there.
  const isOpen = span.endsWhole && best.best.candidate.toSlot >= input.soft.count && mightGoOnWith(layout, last) !== '';
  const isOpenField = (field: string) => isOpen && last?.owner.kind === 'field' && last.owner.field === field;
  const isHeld = (field: string) => !isAgainst && !isOpenField(field) && isWell(field);
  const mostOf = (field: string) =>
    Math.min(isHeld(field) ? 1 : LOOSE_CONFIDENCE, lost.fields.has(field) ? 1 - lostShare : 1);
  const fields = fieldsOf(layout, span, reading, scores, mostOf, confidenceOf);
  // A piece of a frame that holds no field tells nothing; one with a loose field is as good as each of its fields by itself.
  const holds = (whole && !isOpen) || (Object.keys(fields).length > 0 && Object.keys(fields).every(isHeld));
  const checksum = checksumState(checked, contradicted, certainFree, posterior);
  return {
    frame: layout.frame,
    text: reading.characters.map(({ character }) => character).join(''),
    startSeconds: input.soft.startSeconds[best.best.candidate.fromSlot],
    endSeconds: endOf(input.soft, best.best.candidate.toSlot),
    complete: whole,
    checksum,
    trust: notes.length > 0 || !holds ? 'doubtful' : trustOf(posterior, checksum, whole, layout.mission.accept),
    confidence: posterior,
    fields,
    characters: charactersOfReading(reading, alone, posterior),
    decision: {
      posterior,
      foreignNatsPerCharacter,
      repaired: !contradicted && bestFree.best.content !== best.best.content,
      notes,
    },
  };
}

const NOTHING_LOST: LostCharacters = { chance: 0, fields: new Set() };

/** ln mass of text without layout: what all other masses are measured against. */
const NO_LAYOUT = 0;

function checksumState(
  checked: boolean,
  contradicted: boolean,
  certainFree: boolean,
  posterior: number,
): ChecksumState {
  if (!checked) return 'none';
  if (contradicted) return certainFree ? 'fail' : 'none';
  return posterior >= 0.5 ? 'pass' : 'none';
}

/** Whether a sister's checksum would give it away: one that covers the literals from the frame's beginning on. */
function literalsChecked({ graph }: CompiledLayout): boolean {
  return graph.printed.checks.some(({ covers, from }) => covers !== 'bytes' && from === undefined);
}

function collect(contents: Map<string, Content>, written: WrittenCandidate): Content {
  const { candidate, content, logConsistent } = written;
  const known = contents.get(content);
  if (!known) {
    const fresh: Content = { best: written, logFree: candidate.logWeight, logConsistent };
    contents.set(content, fresh);
    return fresh;
  }
  if (logConsistent > known.best.logConsistent) known.best = written;
  known.logFree = logAdd(known.logFree, candidate.logWeight);
  known.logConsistent = logAdd(known.logConsistent, logConsistent);
  return known;
}

function likeliest(contents: ReadonlyMap<string, Content>, weight: (content: Content) => number): Content {
  const [first, ...others] = contents.values();
  let best = first;
  for (const content of others) if (weight(content) > weight(best)) best = content;
  return best;
}

function endOf(soft: SoftCharacters, slot: number): number {
  const { startSeconds, count } = soft;
  if (slot < count) return startSeconds[slot];
  return startSeconds[count - 1] + (count > 1 ? startSeconds[count - 1] - startSeconds[count - 2] : 0);
}

/** Codes that may stand where a written character stands. */
function codesHere(layout: CompiledLayout, edge: number): number[] {
  const { printed } = layout.graph;
  return Array.from(printed.edges[edge].characters, (character) => codeOf(layout, character)).filter(
    (code) => code >= 0,
  );
}

function codeOf(layout: CompiledLayout, character: string): number {
  return findCodes(character, layout.mission.beacon.alphabet)?.code ?? -1;
}

/** Odds that one character of a literal word was another: the sum over all words, places and other characters. */
function sisterOdds(layout: CompiledLayout, reading: WrittenCandidate, scores: SlotScores): number {
  let odds = 0;
  for (const { owner, character, slot, edge } of reading.characters) {
    if (owner.kind !== 'text' || edge === null) continue;
    const own = codeOf(layout, character);
    const ownScore = scores.of(slot, own);
    let others = 0;
    for (let code = 0; code < CODE_COUNT; code++)
      if (code !== own) others += Math.exp(scores.of(slot, code) - ownScore);
    odds += others / (CODE_COUNT - 1);
  }
  return Math.max(odds, 1e-300);
}

function foreignNats(layout: CompiledLayout, reading: WrittenCandidate, scores: SlotScores): number {
  let sum = 0;
  for (const { character, slot } of reading.characters) {
    if (character === ' ') continue;
    sum += scores.best[slot] - scores.of(slot, codeOf(layout, character));
  }
  return reading.characters.length === 0 ? 0 : sum / reading.characters.length;
}

/** Probability of a character among those its place allows, by its slot alone. */
function aloneConfidence(
  layout: CompiledLayout,
  character: string,
  slot: number,
  edge: number,
  scores: SlotScores,
): number {
  const own = Math.exp(scores.of(slot, codeOf(layout, character)));
  let sum = 0;
  for (const code of codesHere(layout, edge)) sum += Math.exp(scores.of(slot, code));
  return sum > 0 ? Math.min(1, own / sum) : 0;
}

function fieldsOf(
  layout: CompiledLayout,
  span: Span,
  reading: WrittenCandidate,
  scores: SlotScores,
  mostOf: (field: string) => number,
  confidenceOf: (same: (content: Content) => boolean, alone: number) => number,
): Record<string, DecodedField> {
  const { printed } = layout.graph;
  const fields: Record<string, DecodedField> = {};
  for (const part of printed.fields) {
    const textIn = ({ characters }: WrittenCandidate) => completeFieldText(printed, characters, span, part.field);
    const text = textIn(reading);
    if (text === null) continue;
    let alone = 1;
    for (const { owner, character, slot, edge } of reading.characters) {
      if (owner.kind !== 'field' || owner.field !== part.field || edge === null) continue;
      alone *= aloneConfidence(layout, character, slot, edge, scores);
    }
    const confidence = confidenceOf((content) => textIn(content.best) === text, alone);
    fields[part.field] = {
      raw: fieldValue(part.form, text, part.missing),
      text,
      confidence: Math.min(confidence, mostOf(part.field)),
    };
  }
  return fields;
}

function charactersOfReading(reading: WrittenCandidate, alone: readonly number[], posterior: number): FrameCharacter[] {
  return reading.characters.map(({ character, owner, slot }, i) => ({
    text: character,
    slot,
    confidence: Math.min(1, posterior + (1 - posterior) * alone[i]),
    field: owner.kind === 'field' ? owner.field : null,
  }));
}

function confidenceAlone(
  layout: CompiledLayout,
  { character, owner, slot, edge }: WrittenCharacter,
  scores: SlotScores,
): number {
  return edge === null || owner.kind !== 'field'
    ? Math.exp(scores.of(slot, codeOf(layout, character))) / CODE_COUNT
    : aloneConfidence(layout, character, slot, edge, scores);
}
