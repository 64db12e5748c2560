import { CONTRADICTED_CONFIDENCE, SISTER_SENDER, SISTER_UNCHECKED, WRONG_CHECKSUM_SENT } from './accept.ts';
import { fieldAlone } from './character-alone.ts';
import { isRepeated, uncheckedFields } from './check-worth.ts';
import type { JudgedInput } from './decision-input.ts';
import { type LostCharacters, lostCharacters } from './lost-characters.ts';
import { literalsChecked, sisterOdds } from './sister.ts';
import { logAdd } from './total-mass.ts';
import { type Content, isContradicted, likeliest, type Weighed } from './weigh.ts';
import { type WrittenCandidate, writeReceived } from './write-candidate.ts';

/** The best reading, and how it weighs against all else; masses are ln over text without layout. */
export interface Masses {
  /** Whether the checksum rules out what was certainly read. */
  readonly contradicted: boolean;
  readonly best: Content;
  readonly reading: WrittenCandidate;
  /** Probability that the content of the reading was sent. */
  readonly posterior: number;
  /** Part of all mass that no candidate lists. */
  readonly unlistedShare: number;
  /** Fields of which a character may have been lost in a pause, and how probable that is. */
  readonly lost: LostCharacters;
  readonly lostShare: number;
  readonly isSisterHeard: boolean;
  /** ln of how seldom the reading's checksum fits by chance; zero without one. */
  readonly borneOut: number;
  /**
   * Probability of what a field is in some contents; `alone`: by its own slots, for contents that are not listed. Those count, where
   * the field is repeated, as far as the copies went with the reading. No field that no checksum covers is surer than by itself.
   */
  confidenceOf(field: string, same: (content: Content) => boolean, alone: number): number;
}

const NONE: ReadonlySet<string> = new Set();
const NOTHING_LOST: LostCharacters = { chance: 0, fields: new Set() };

/** ln mass of text without layout: what all other masses are measured against. */
const NO_LAYOUT = 0;

/** @param rivals masses of the other layouts, and of whatever else might have been sent instead. */
export function massesOf(
  { layout, scores, span, soft }: JudgedInput,
  weighed: Weighed,
  rivals: readonly number[],
): Masses {
  const { contents, free, unlisted, checked } = weighed;
  const whole = span.startsWhole && span.endsWhole;
  const wrongCheck = checked ? WRONG_CHECKSUM_SENT : 0;
  const rightCheck = Math.log1p(-wrongCheck);
  const contradicted = isContradicted(weighed);
  const best = likeliest(contents, (content) => (contradicted ? content.logFree : content.logConsistent));
  const reading = contradicted ? writeReceived(layout, best.best.candidate, scores) : best.best;
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
  const lost = whole ? lostCharacters(layout.graph.printed, reading.characters, soft) : NOTHING_LOST;
  // A text of which a character was lost fits its checksum by chance alone.
  const lostMass = Math.log(lost.chance) + (checked ? best.logFree : logBest);
  const unchecked = checked && !contradicted ? uncheckedFields(layout, best.best.candidate) : NONE;
  let uncheckedAlone = 1;
  for (const field of unchecked) uncheckedAlone *= fieldAlone(layout, reading.characters, field, scores);
  return {
    contradicted,
    best,
    reading,
    posterior: uncheckedAlone * Math.min(1, Math.exp(logBest - logAdd(total, lostMass))),
    unlistedShare: Math.exp(unlisted - total),
    lost,
    lostShare: Math.exp(lostMass - logAdd(total, lostMass)),
    isSisterHeard: sisterMass > 0,
    borneOut:
      whole && checked && !contradicted && best.logFree > Number.NEGATIVE_INFINITY
        ? Math.max(0, best.logConsistent - best.logFree)
        : 0,
    confidenceOf(field, same, alone) {
      const { logGain, logMost } = reading.copies;
      let agreeing = Math.log(Math.max(alone, 1e-300)) + unlisted + (isRepeated(layout, field) ? logGain - logMost : 0);
      for (const content of contents.values()) {
        if (!same(content)) continue;
        agreeing = logAdd(agreeing, rightCheck + content.logConsistent);
        agreeing = logAdd(agreeing, Math.log(wrongCheck) + content.logFree);
      }
      const confidence = Math.min(unchecked.has(field) ? alone : 1, Math.exp(agreeing - total));
      return contradicted ? Math.min(confidence, CONTRADICTED_CONFIDENCE) : confidence;
    },
  };
}
