import type { Mission } from '../mission/types.ts';
import type { SoftCharacters } from '../teletype/types.ts';
import { LEAST_EVIDENCE } from './accept.ts';
import { type CompiledLayout, layoutsAt } from './compiled-mission.ts';
import { decideFrame } from './decide.ts';
import { type Region, type Span, scanForFrame } from './scan.ts';
import { SlotScores } from './slot-scores.ts';
import type { DecodedFrame } from './types.ts';

export interface MatchOptions {
  /** ISO 8601; selects the layouts in force. */
  readonly receivedAt?: string | null;
}

export interface MatchedFrame {
  readonly mission: Mission;
  readonly frame: DecodedFrame;
  /** Slots of the burst that the frame takes. */
  readonly fromSlot: number;
  readonly toSlot: number;
}

/** Slots beyond the best stretch that a rival reading of the same frame may take. */
const MARGIN = 2;
const FEWEST_SLOTS = 6;

/**
 * Finds every frame of the given missions in a burst, wherever it begins, in the order sent. All layouts of all missions
 * compete for each stretch.
 */
export function matchFrames(
  soft: SoftCharacters,
  missions: readonly Mission[],
  options: MatchOptions = {},
): MatchedFrame[] {
  const layouts = layoutsAt(missions, options.receivedAt ?? null);
  const scores = new SlotScores(soft);
  const found: MatchedFrame[] = [];
  const regions: Region[] = [{ from: 0, to: soft.count, cutBefore: true, cutAfter: true }];
  for (let region = regions.pop(); region; region = regions.pop()) {
    if (region.to - region.from < FEWEST_SLOTS) continue;
    const best = bestSpan(layouts, scores, region);
    if (!best) continue;
    const { layout, span } = best;
    const near: Region = {
      from: span.startsWhole ? Math.max(region.from, span.from - MARGIN) : region.from,
      to: span.endsWhole ? Math.min(region.to, span.to + MARGIN) : region.to,
      cutBefore: !span.startsWhole,
      cutAfter: !span.endsWhole,
    };
    const frame = decideFrame({ layout, rivals: layouts, span, region: near, scores, soft });
    if (frame) found.push({ mission: layout.mission, frame, fromSlot: span.from, toSlot: span.to });
    regions.push({ ...region, to: span.from, cutAfter: false });
    regions.push({ ...region, from: span.to, cutBefore: false });
  }
  return found.sort((a, b) => a.fromSlot - b.fromSlot);
}

function bestSpan(
  layouts: readonly CompiledLayout[],
  scores: SlotScores,
  region: Region,
): { readonly layout: CompiledLayout; readonly span: Span } | null {
  let best: { readonly layout: CompiledLayout; readonly span: Span } | null = null;
  for (const layout of layouts) {
    const span = scanForFrame(layout.graph, scores, region);
    if (span && span.score >= LEAST_EVIDENCE && (!best || span.score > best.span.score)) best = { layout, span };
  }
  return best;
}
