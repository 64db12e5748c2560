import type { Mission } from '../../mission/types.ts';
import { type AcceptRule, DEFAULT_ACCEPT, OTHER_TRANSMISSION, PROBABLE_POSTERIOR } from '../accept.ts';
import { type CompiledLayout, layoutsAt } from '../compiled-mission.ts';
import { type MatchedFrame, type MatchOptions, matchFrames } from '../match.ts';
import { COPIES_NOTE, ORDER_NOTE } from '../notes.ts';
import { matchPrinted } from '../printed-match.ts';
import { isSettled } from '../settled.ts';
import { SlotScores } from '../slot-scores.ts';
import { isBetter, leastTrust, trustOf } from '../trust.ts';
import type { DecodedFrame } from '../types.ts';
import { type AddedCopies, addCopies, elementsByThemselves, type Placed } from './added-copies.ts';
import { readCoherently, type SaidOfCharacters } from './coherent-reading.ts';
import { noiseOrigin } from './common-noise.ts';
import { otherTransmissionOdds, type ReadCharacter } from './other-transmission.ts';
import type { AloneReading } from './types.ts';

/** A copy that belongs, in its place. */
export interface Member {
  readonly placed: Placed;
  readonly station: string;
  readonly alone: AloneReading | null;
}

export interface JointOptions extends MatchOptions {
  /** Prior that a copy is of another transmission. */
  readonly otherTransmission?: number;
}

export interface JointReading {
  readonly mission: string;
  /** Seconds are those of the sum. */
  readonly frame: DecodedFrame;
  /** Slot of the sum under each character; -1 beyond its ends. */
  readonly at: readonly number[];
  /** What members' own signals say of the characters, where phase was followed through; null where their elements do. */
  readonly said?: readonly (SaidOfCharacters | null)[];
}

export interface JointDecision {
  readonly added: AddedCopies;
  /** Null when nothing can be read. */
  readonly reading: JointReading | null;
  /** For each member the odds that it is of another transmission than the one read; none for one alone. */
  readonly odds: readonly number[];
}

/** Decides what members say together, and how surely they belong together. */
export function decideJointly(
  members: readonly Member[],
  missions: readonly Mission[],
  given: JointOptions,
): JointDecision {
  const options = { ...given, named: nameOf(members) };
  const placed = members.map((member) => member.placed);
  const added = addCopies(placed);
  if (members.length === 1) return { added, reading: aloneReading(members[0], added.slots[0]), odds: [] };
  const layouts = layoutsAt(missions, options.receivedAt ?? null);
  const scores = placed.map(({ soft }) => new SlotScores(soft));
  const prior = options.otherTransmission ?? OTHER_TRANSMISSION;
  const oddsFor = (reading: JointReading): number[] => {
    const layout = layouts.find(
      ({ mission, frame }) => mission.id === reading.mission && frame === reading.frame.frame,
    );
    const characters = readCharacters(reading.frame, layout);
    const alphabet = layout?.mission.beacon.alphabet ?? 'ita2';
    return members.map((_, i) => {
      const slots = reading.at.map((at) => (at < 0 ? -1 : added.slots[i][at]));
      const own = reading.said?.[i] ?? { slots, scores: scores[i] };
      return prior * otherTransmissionOdds(characters, own.slots, own.scores, alphabet);
    });
  };
  const ruleOf = ({ mission }: JointReading) => missions.find(({ id }) => id === mission)?.accept ?? DEFAULT_ACCEPT;
  const doubted = (reading: JointReading): JointReading => {
    const odds = oddsFor(reading);
    const frame = doubt(reading.frame, sum(odds), ruleOf(reading));
    if (frame.trust === reading.frame.trust) return { ...reading, frame };
    // What costs the trust is looked at closely: were a copy another's, the rest might still give the same frame.
    const wrong = odds.map((each, i) => each * (1 - confidenceWithout(i, reading.frame, members, missions, options)));
    return { ...reading, frame: doubt(reading.frame, sum(wrong), ruleOf(reading)) };
  };
  const joint = readSum(placed, added, missions, options);
  const readings = joint ? [doubted(joint)] : [];
  for (const [i, member] of members.entries()) {
    const alone = aloneReading(member, added.slots[i]);
    if (alone === null || alone.frame.trust === 'doubtful') continue;
    if (joint && !isBetter(alone.frame, readings[0].frame)) continue;
    if (!readsMore(alone, member.placed, missions, options)) continue;
    // It stands by itself, whatever the others are; but not against one that may belong and says something else.
    const against = sum(oddsFor(alone).filter((_, other) => other !== i));
    readings.push(against < 1 - PROBABLE_POSTERIOR ? alone : { ...alone, frame: disagreeing(alone.frame) });
  }
  if (readings.length === 0) return { added, reading: null, odds: members.map(() => 0) };
  const best = readings.reduce((a, b) => (isBetter(b.frame, a.frame) ? b : a));
  const accepted = new Set(readings.filter(({ frame }) => frame.trust !== 'doubtful').map(({ frame }) => frame.text));
  const frame = accepted.size > 1 ? disagreeing(best.frame) : borneOut(best, members, added, ruleOf(best));
  return { added, reading: { ...best, frame }, odds: oddsFor(best) };
}

/** The frame that members were read as alone, where their neighbours told which it is. */
function nameOf(members: readonly Member[]): string | undefined {
  return members.find(({ alone }) => alone && !alone.frame.decision.notes.includes(ORDER_NOTE))?.alone?.frame.frame;
}

function longest(matches: readonly MatchedFrame[]): MatchedFrame | null {
  const length = ({ fromSlot, toSlot }: MatchedFrame) => toSlot - fromSlot;
  return matches.reduce<MatchedFrame | null>(
    (best, each) => (!best || length(each) > length(best) ? each : best),
    null,
  );
}

function sumReading(match: MatchedFrame | null): JointReading | null {
  if (match === null) return null;
  const { mission, frame } = match;
  return { mission: mission.id, frame, at: frame.characters.map(({ slot }) => slot) };
}

/** What copies say together: as likelihoods, and through the phases that hold in them where that leaves something open. */
function readSum(
  placed: readonly Placed[],
  added: AddedCopies,
  missions: readonly Mission[],
  options: JointOptions,
): JointReading | null {
  const summed = sumReading(longest(matchFrames(added.soft, missions, options)));
  if (summed && isSettled(summed.frame)) return summed;
  const coherent = readCoherently(placed, added, layoutsAt(missions, options.receivedAt ?? null));
  return betterOf(summed, coherent && { ...coherent, mission: coherent.layout.mission.id });
}

function betterOf(a: JointReading | null, b: JointReading | null): JointReading | null {
  if (!a || !b) return a ?? b;
  return isBetter(b.frame, a.frame) ? b : a;
}

function aloneReading({ alone, placed }: Member, slots: Int32Array): JointReading | null {
  if (alone === null) return null;
  const { mission, frame } = alone;
  const startSeconds = frame.startSeconds + placed.shiftSeconds;
  const endSeconds = frame.endSeconds + placed.shiftSeconds;
  return {
    mission,
    frame: { ...frame, startSeconds, endSeconds },
    at: frame.characters.map(({ slot }) => slots.indexOf(slot)),
  };
}

/** Whether a reading rests on more than the copy's soft elements, by which it would be surer than the sum. */
function readsMore(alone: JointReading, placed: Placed, missions: readonly Mission[], options: MatchOptions): boolean {
  const own = longest(matchFrames(addCopies([placed]).soft, missions, options));
  return own === null || own.frame.trust !== alone.frame.trust;
}

/** The characters of a frame with what they are; of an incomplete frame the checks count as literals, which say nothing. */
function readCharacters(frame: DecodedFrame, layout: CompiledLayout | undefined): ReadCharacter[] {
  const match = layout === undefined ? null : matchPrinted(layout.graph.printed, frame.text);
  const walk = match?.matched ? match.walk : [];
  const first = walk
    .map(({ character }) => character)
    .join('')
    .indexOf(frame.text);
  return frame.characters.map(({ text, field }, i) => {
    const owner = first < 0 ? undefined : walk[first + i]?.owner;
    if (owner?.kind === 'check' || owner?.kind === 'again') return { text, part: 'check' };
    return { text, part: field === null ? 'literal' : 'content' };
  });
}

function confidenceWithout(
  left: number,
  { text }: DecodedFrame,
  members: readonly Member[],
  missions: readonly Mission[],
  options: MatchOptions,
): number {
  const rest = members.flatMap(({ placed }, i) => (i === left ? [] : [placed]));
  const frame = readSum(rest, addCopies(rest), missions, options)?.frame;
  return frame?.text === text ? frame.confidence : 0;
}

/** A frame with room left for being made of several transmissions. */
function doubt(frame: DecodedFrame, odds: number, rule: AcceptRule): DecodedFrame {
  const scale = 1 / (1 + odds);
  const posterior = frame.decision.posterior * scale;
  const trust = leastTrust(frame.trust, trustOf(posterior, frame.checksum, frame.complete, rule));
  const doubted = scaled(frame, scale, trust);
  return scale < PROBABLE_POSTERIOR ? disagreeing(doubted) : doubted;
}

function scaled(frame: DecodedFrame, scale: number, trust: DecodedFrame['trust']): DecodedFrame {
  const fields = Object.entries(frame.fields).map(
    ([id, field]) => [id, { ...field, confidence: field.confidence * scale }] as const,
  );
  return {
    ...frame,
    trust,
    confidence: frame.confidence * scale,
    fields: Object.fromEntries(fields),
    characters: frame.characters.map((each) => ({ ...each, confidence: each.confidence * scale })),
    decision: { ...frame.decision, posterior: frame.decision.posterior * scale },
  };
}

function disagreeing(frame: DecodedFrame): DecodedFrame {
  const notes = [...frame.decision.notes, COPIES_NOTE];
  return { ...frame, trust: 'doubtful', decision: { ...frame.decision, notes } };
}

/** Confirms a frame that two stations each read alone, through noise of their own. */
function borneOut(
  { mission, frame }: JointReading,
  members: readonly Member[],
  { slots }: AddedCopies,
  { wrongBelow }: AcceptRule,
): DecodedFrame {
  const { trust, complete, checksum, confidence, decision } = frame;
  const open = trust === 'probable' && complete && checksum !== 'fail' && decision.notes.length === 0;
  if (!open || 1 - confidence >= wrongBelow) return frame;
  const witnesses = members.flatMap(({ placed, station, alone }, i) => {
    const agrees =
      alone?.mission === mission &&
      alone.frame.frame === frame.frame &&
      alone.frame.text === frame.text &&
      alone.frame.trust !== 'doubtful' &&
      alone.frame.confidence >= PROBABLE_POSTERIOR;
    return agrees ? [{ station, elements: elementsByThemselves(placed.soft, slots[i]) }] : [];
  });
  const apart = witnesses.some((a, i) =>
    witnesses.slice(0, i).some((b) => a.station !== b.station && noiseOrigin(a.elements, b.elements) === 'independent'),
  );
  return apart ? { ...frame, trust: 'confirmed' } : frame;
}

function sum(values: readonly number[]): number {
  return values.reduce((a, b) => a + b, 0);
}
