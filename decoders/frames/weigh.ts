import { WRONG_CHECKSUM_SENT } from './accept.ts';
import { logAdd } from './total-mass.ts';
import type { WrittenCandidate } from './write-candidate.ts';

const MOST_CANDIDATES = 1000;
/** Once all that is not listed weighs so much less (nats) than the best, listing more cannot change the decision. */
const SETTLED = Math.log(1e6);
const SETTLED_UNCHECKED = Math.log(1e4);

/** Readings with the same content, their weights summed. */
export interface Content {
  best: WrittenCandidate;
  /** With all derived parts free: what the rest of the frame says by itself. */
  logAlone: number;
  /** With checksums free and copies of fields consistent. */
  logFree: number;
  /** With all derived parts consistent. */
  logConsistent: number;
}

/** Candidates of one frame weighed against all that is not listed; masses are ln over text without layout. */
export interface Weighed {
  readonly contents: ReadonlyMap<string, Content>;
  /** All content, checksums free. */
  readonly free: number;
  /**
   * The part of `free` that no candidate lists, as far as it may go with the derived parts that were received: at most, where fields
   * are repeated, as if the copies went with all of it, and with checksums as often as those of different frames agree.
   */
  readonly unlisted: number;
  readonly listedConsistent: number;
  /** Whether some checksum could be worked out. */
  readonly checked: boolean;
}

/**
 * Weighs candidates as they come, likeliest first, until those left out cannot matter. Null when there are none.
 *
 * @param agreement `agreementByChance` of the layout.
 */
export function weigh(candidates: Iterable<WrittenCandidate>, free: number, agreement: number): Weighed | null {
  const contents = new Map<string, Content>();
  let listedFree = Number.NEGATIVE_INFINITY;
  let listedRaw = Number.NEGATIVE_INFINITY;
  let mostCopied = 0;
  let listedConsistent = Number.NEGATIVE_INFINITY;
  let mostConsistent = Number.NEGATIVE_INFINITY;
  let unlisted = free;
  let checked = false;
  let listed = 0;
  for (const written of candidates) {
    checked ||= written.checked;
    listedRaw = logAdd(listedRaw, written.candidate.logWeight);
    listedFree = logAdd(listedFree, written.candidate.logWeight + written.copies.logGain);
    mostCopied = Math.max(mostCopied, written.copies.logMost);
    listedConsistent = logAdd(listedConsistent, written.logConsistent);
    unlisted = mostCopied + agreement + free + Math.log(Math.max(1e-12, 1 - Math.exp(listedRaw - free)));
    const content = collect(contents, written);
    mostConsistent = Math.max(mostConsistent, content.logConsistent);
    if (++listed >= MOST_CANDIDATES || unlisted < mostConsistent - (checked ? SETTLED : SETTLED_UNCHECKED)) break;
  }
  return listed === 0 ? null : { contents, free: logAdd(listedFree, unlisted), unlisted, listedConsistent, checked };
}

/** Whether the checksum rules out what was certainly read: then the frame was sent with a wrong one. */
export function isContradicted(weighed: Weighed): boolean {
  const { free, unlisted, listedConsistent, checked } = weighed;
  const wrongCheck = checked ? WRONG_CHECKSUM_SENT : 0;
  return Math.log(wrongCheck) + free > Math.log1p(-wrongCheck) + logAdd(listedConsistent, unlisted);
}

/** The content that weighs most. */
export function likeliest(contents: ReadonlyMap<string, Content>, weight: (content: Content) => number): Content {
  const [first, ...others] = contents.values();
  let best = first;
  for (const content of others) if (weight(content) > weight(best)) best = content;
  return best;
}

function collect(contents: Map<string, Content>, written: WrittenCandidate): Content {
  const { candidate, content, logConsistent, copies } = written;
  const logFree = candidate.logWeight + copies.logGain;
  const known = contents.get(content);
  if (!known) {
    const fresh: Content = { best: written, logAlone: candidate.logWeight, logFree, logConsistent };
    contents.set(content, fresh);
    return fresh;
  }
  if (logConsistent > known.best.logConsistent) known.best = written;
  known.logAlone = logAdd(known.logAlone, candidate.logWeight);
  known.logFree = logAdd(known.logFree, logFree);
  known.logConsistent = logAdd(known.logConsistent, logConsistent);
  return known;
}
