import { type AcceptRule, PROBABLE_POSTERIOR } from './accept.ts';
import type { ChecksumState, DecodedFrame, Trust } from './types.ts';

const RANK: Readonly<Record<Trust, number>> = { doubtful: 0, probable: 1, confirmed: 2 };

/** The accept rule: what the posterior of a frame is worth, given its checksum and whether it was heard whole. */
export function trustOf(
  posterior: number,
  checksum: ChecksumState,
  whole: boolean,
  { wrongBelow }: Pick<AcceptRule, 'wrongBelow'>,
): Trust {
  if (whole && checksum === 'pass' && 1 - posterior < wrongBelow) return 'confirmed';
  return posterior >= PROBABLE_POSTERIOR ? 'probable' : 'doubtful';
}

export function leastTrust(a: Trust, b: Trust): Trust {
  return RANK[a] < RANK[b] ? a : b;
}

/** Orders the more trusted first. */
export function byTrust(a: Trust, b: Trust): number {
  return RANK[b] - RANK[a];
}

/** Whether a reading of a frame is to be preferred to another. */
export function isBetter(
  a: Pick<DecodedFrame, 'trust' | 'confidence'>,
  b: Pick<DecodedFrame, 'trust' | 'confidence'>,
): boolean {
  return RANK[a.trust] > RANK[b.trust] || (a.trust === b.trust && a.confidence > b.confidence);
}
