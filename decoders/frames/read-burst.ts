import type { Mission } from '../mission/types.ts';
import type { DemodulatedBurst } from '../teletype/demodulate.ts';
import type { SoftCharacters } from '../teletype/types.ts';
import { type OnClock, softByClock, softFromKnownStart } from './clock-search.ts';
import { type CompiledLayout, layoutsAt } from './compiled-mission.ts';
import { withMarginals } from './deep/element-marginals.ts';
import { readByTone } from './deep/read-by-tone.ts';
import { readDeep } from './deep/read-deep.ts';
import { type MatchedFrame, type MatchOptions, matchFrames } from './match.ts';
import { combineRepeats } from './repeats.ts';
import { isSettled } from './settled.ts';
import { isBetter } from './trust.ts';

export interface BurstFrames {
  readonly frames: readonly MatchedFrame[];
  /** The soft characters that the frames' slots count in: the burst's own, or those of a better timing or a closer look. */
  readonly soft: SoftCharacters;
}

/**
 * All frames of a burst. Strong ones are settled by their soft characters; what these leave open is read again through
 * the sender's phase, and where no frame shows at all, on the clock that the layouts call for. What a sender repeats is
 * one frame. Null where there is no burst: a faint one that no phase bears out.
 */
export function readBurstFrames(
  signal: DemodulatedBurst,
  missions: readonly Mission[],
  options: MatchOptions = {},
): BurstFrames | null {
  if (missions.length === 0) return { frames: [], soft: signal.soft };
  const rivals = layoutsAt(missions, options.receivedAt ?? null);
  if (signal.isFaint) return readOnClock(signal, rivals, softFromKnownStart);
  const { frames, soft } = readOneByOne(signal, missions, rivals, options);
  return { frames: combineRepeats(frames, soft, missions, options), soft };
}

function readOneByOne(
  signal: DemodulatedBurst,
  missions: readonly Mission[],
  rivals: readonly CompiledLayout[],
  options: MatchOptions,
): BurstFrames {
  const byTone = matchByTone(signal, missions, options);
  let { soft: told } = byTone;
  const frames = byTone.frames.map((match) => {
    const layout = rivals.find(({ mission, frame }) => mission === match.mission && frame === match.frame.frame);
    if (!layout || !signal.isRegular || isSettled(match.frame)) return match;
    const deeper = readDeep({ layout, rivals, signal: { ...signal, soft: told }, fromSlot: match.fromSlot });
    if (deeper) told = deeper.soft;
    return deeper?.frame && isBetter(deeper.frame, match.frame) ? { ...match, frame: deeper.frame } : match;
  });
  const read: BurstFrames = { frames, soft: told };
  if (frames.some(({ frame }) => frame.complete)) return read;
  const onClock = readOnClock(signal, rivals, softFromKnownStart) ?? readOnClock(signal, rivals, softByClock);
  if (!onClock) return read;
  if (onClock.frames.length > 0 || frames.length === 0) return onClock;
  return { frames, soft: withCoherent(told, onClock.soft) };
}

/** Soft characters with the stretches of others through which the sender's phase holds. */
function withCoherent(soft: SoftCharacters, { coherent = [] }: SoftCharacters): SoftCharacters {
  return { ...soft, coherent: [...(soft.coherent ?? []), ...coherent] };
}

/**
 * The frame that a search for a clock placed, as the phase tells it; null where none holds there. One that cannot be read may
 * still be worth something beside what others heard.
 */
function readOnClock(
  signal: DemodulatedBurst,
  rivals: readonly CompiledLayout[],
  search: (signal: DemodulatedBurst, layouts: readonly CompiledLayout[]) => OnClock | null,
): BurstFrames | null {
  const onClock = search(signal, rivals);
  if (!onClock) return null;
  const { soft, characterSeconds, layout, span } = onClock;
  const deep = readDeep({ layout, rivals, signal: { ...signal, soft, characterSeconds }, fromSlot: span.from });
  if (!deep) return null;
  const { frame } = deep;
  const isRead = frame !== null && frame.trust !== 'doubtful';
  const frames = isRead ? [{ mission: layout.mission, frame, fromSlot: span.from, toSlot: span.to }] : [];
  return { frames, soft: deep.soft };
}

/** Above this elements alone settle nearly every frame, and the sum over whole tones is not worth its time. */
const CLEAR_DB = 10;

/**
 * Frames by whole tones where the sender's phase holds as long, and where elements alone leave something open. The soft
 * characters then hold what whole tones say of each element.
 */
function matchByTone(signal: DemodulatedBurst, missions: readonly Mission[], options: MatchOptions): BurstFrames {
  const { soft } = signal;
  const byElement = signal.ebN0Db >= CLEAR_DB ? matchFrames(soft, missions, options) : [];
  if (byElement.length > 0 && byElement.every(({ frame }) => isSettled(frame))) return { frames: byElement, soft };
  const byTone = signal.levels ? null : readByTone(signal);
  if (byTone) {
    const { likelihoods } = byTone;
    return { frames: matchFrames(soft, missions, { ...options, likelihoods }), soft: withMarginals(soft, likelihoods) };
  }
  return { frames: byElement.length > 0 ? byElement : matchFrames(soft, missions, options), soft };
}
