import type { SoftCharacters } from '../teletype/types.ts';
import { CLEARLY_AGAINST, LOOSE_CONFIDENCE, PROBABLE_POSTERIOR } from './accept.ts';
import { mostAgainst } from './against.ts';
import { codeOf, confidenceAlone } from './character-alone.ts';
import type { CompiledLayout } from './compiled-mission.ts';
import type { JudgedInput } from './decision-input.ts';
import { mightGoOnWith } from './ending.ts';
import { fieldsOf } from './fields.ts';
import { fieldsHeld } from './held-fields.ts';
import { type Masses, massesOf } from './masses.ts';
import { AGAINST_NOTE, CONTRADICTED_NOTE, FOREIGN_NOTE, SISTER_NOTE } from './notes.ts';
import { hasOneLength } from './one-length.ts';
import type { SlotScores } from './slot-scores.ts';
import { trustOf } from './trust.ts';
import type { ChecksumState, DecodedFrame, FrameCharacter } from './types.ts';
import { type Content, likeliest, type Weighed } from './weigh.ts';
import type { WrittenCandidate } from './write-candidate.ts';

/**
 * The decision. The posterior weighs the best reading against every other content that the layout allows (those not
 * listed through their exact total), against other layouts (`rivals`: their masses), against a frame sent with a wrong
 * checksum, against a sister satellite, and against text without layout.
 */
export function judge(input: JudgedInput, weighed: Weighed, rivals: readonly number[]): DecodedFrame {
  const { layout, scores, span, soft } = input;
  const whole = span.startsWhole && span.endsWhole;
  const masses = massesOf(input, weighed, rivals);
  const { best, contradicted, lost, posterior, reading } = masses;
  const bestFree = likeliest(weighed.contents, (content) => content.logFree);
  const bestAlone = likeliest(weighed.contents, (content) => content.logAlone);
  const foreignNatsPerCharacter = foreignNats(layout, reading, scores);
  const isAgainst = mostAgainst(layout, reading.characters, scores) > CLEARLY_AGAINST + masses.borneOut;
  const notes: string[] = [];
  if (contradicted) notes.push(CONTRADICTED_NOTE);
  if (foreignNatsPerCharacter > layout.mission.accept.foreignBelow) notes.push(FOREIGN_NOTE);
  if (masses.isSisterHeard) notes.push(SISTER_NOTE);
  if (isAgainst) notes.push(AGAINST_NOTE);
  const alone = reading.characters.map((character) => confidenceAlone(layout, character, scores));
  // Of what is not listed nobody knows where its fields stand, unless they can only stand where they do.
  const isPlaced = whole && (hasOneLength(layout) || masses.unlistedShare < 1 - PROBABLE_POSTERIOR);
  const isWell = isPlaced ? () => true : fieldsHeld(layout.graph.printed, reading.characters, alone, soft);
  const last = reading.characters.at(-1);
  // A number with which a burst ends may have been cut there.
  const isOpen = span.endsWhole && best.best.candidate.toSlot >= soft.count && mightGoOnWith(layout, last) !== '';
  const isOpenField = (field: string) => isOpen && last?.owner.kind === 'field' && last.owner.field === field;
  const isHeld = (field: string) => !isAgainst && !isOpenField(field) && isWell(field);
  const fields = fieldsOf(input, masses, (field) =>
    Math.min(isHeld(field) ? 1 : LOOSE_CONFIDENCE, lost.fields.has(field) ? 1 - masses.lostShare : 1),
  );
  // A piece of a frame that holds no field tells nothing; one with a loose field is as good as each of its fields by itself.
  const holds = (whole && !isOpen) || (Object.keys(fields).length > 0 && Object.keys(fields).every(isHeld));
  const checksum = checksumState(weighed, bestFree, masses);
  return {
    frame: layout.frame,
    text: reading.characters.map(({ character }) => character).join(''),
    startSeconds: soft.startSeconds[best.best.candidate.fromSlot],
    endSeconds: endOf(soft, best.best.candidate.toSlot),
    complete: whole,
    checksum,
    trust: notes.length > 0 || !holds ? 'doubtful' : trustOf(posterior, checksum, whole, layout.mission.accept),
    confidence: posterior,
    fields,
    characters: charactersOfReading(reading, alone, posterior),
    decision: {
      posterior,
      foreignNatsPerCharacter,
      repaired: !contradicted && bestAlone.best.content !== best.best.content,
      notes,
    },
  };
}

function checksumState(
  { checked, free }: Weighed,
  bestFree: Content,
  { contradicted, posterior }: Masses,
): ChecksumState {
  if (!checked) return 'none';
  if (contradicted) return Math.exp(bestFree.logFree - free) >= PROBABLE_POSTERIOR ? 'fail' : 'none';
  return posterior >= 0.5 ? 'pass' : 'none';
}

function endOf(soft: SoftCharacters, slot: number): number {
  const { startSeconds, count } = soft;
  if (slot < count) return startSeconds[slot];
  return startSeconds[count - 1] + (count > 1 ? startSeconds[count - 1] - startSeconds[count - 2] : 0);
}

function foreignNats(layout: CompiledLayout, reading: WrittenCandidate, scores: SlotScores): number {
  let sum = 0;
  for (const { character, slot } of reading.characters) {
    if (character === ' ') continue;
    sum += scores.best[slot] - scores.of(slot, codeOf(layout, character));
  }
  return reading.characters.length === 0 ? 0 : sum / reading.characters.length;
}

function charactersOfReading(reading: WrittenCandidate, alone: readonly number[], posterior: number): FrameCharacter[] {
  return reading.characters.map(({ character, owner, slot }, i) => ({
    text: character,
    slot,
    confidence: Math.min(1, posterior + (1 - posterior) * alone[i]),
    field: owner.kind === 'field' ? owner.field : null,
  }));
}
