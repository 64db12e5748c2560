import type { Mission } from '../mission/types.ts';
import type { SoftCharacters } from '../teletype/types.ts';
import { LEAST_EVIDENCE } from './accept.ts';
import { type CompiledLayout, layoutsAt } from './compiled-mission.ts';
import type { Repetition } from './copies/types.ts';
import { decideFrame } from './decide.ts';
import { ORDER_NOTE } from './notes.ts';
import { matchPrinted } from './printed-match.ts';
import { type Region, type Span, scanForFrame } from './scan.ts';
import { resolveSequence } from './sequence.ts';
import { type CodeLikelihoods, SlotScores } from './slot-scores.ts';
import type { DecodedFrame } from './types.ts';

export interface MatchOptions {
  /** ISO 8601; selects the layouts in force. */
  readonly receivedAt?: string | null;
  /** Weighs the codes otherwise than by the soft elements. */
  readonly likelihoods?: CodeLikelihoods;
  /** Id of the frame, where it is known which it is of those that only their order tells apart. */
  readonly named?: string | undefined;
}

export interface MatchedFrame {
  readonly mission: Mission;
  readonly frame: DecodedFrame;
  /** Slots of the burst that the frame takes. */
  readonly fromSlot: number;
  readonly toSlot: number;
  /** What it was put together from, where the burst repeats it. */
  readonly repetitions?: readonly Repetition[];
}

/** A frame found, with what may still change its name. */
interface Found extends MatchedFrame {
  /** Layouts of the mission's sequence that print the same text; only the order tells them apart. */
  readonly twins: readonly CompiledLayout[];
  readonly decideAs: (layout: CompiledLayout) => DecodedFrame | null;
}

/** Slots beyond the best stretch that a rival reading of the same frame may take. */
const MARGIN = 2;
const FEWEST_SLOTS = 6;
/** Long bursts are searched through a window of so many frames, which keeps the work proportional to their length. */
const WINDOW_FRAMES = 4;

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
  const scores = new SlotScores(options.likelihoods ?? soft, soft);
  const found: Found[] = [];
  const window = WINDOW_FRAMES * Math.max(FEWEST_SLOTS, ...layouts.map(({ graph }) => graph.printed.nodeCount));
  for (let from = 0; soft.count - from >= FEWEST_SLOTS; ) {
    const region: Region = {
      from,
      to: Math.min(soft.count, from + window),
      cutBefore: from === 0,
      cutAfter: from + window >= soft.count,
    };
    const match = findBest(layouts, scores, soft, region);
    if (match) {
      found.push(match, ...findBefore(layouts, scores, soft, { ...region, to: match.fromSlot, cutAfter: false }));
      from = match.toSlot;
    } else if (region.cutAfter) {
      break;
    } else {
      // Far enough to get on, near enough to miss no frame that the window's end cut.
      from += window >> 1;
    }
  }
  return inSequence(
    found.sort((a, b) => a.fromSlot - b.fromSlot),
    options.named,
  );
}

/** The frames in a region that ends where another frame begins. */
function findBefore(
  layouts: readonly CompiledLayout[],
  scores: SlotScores,
  soft: SoftCharacters,
  region: Region,
): Found[] {
  const match = findBest(layouts, scores, soft, region);
  if (!match) return [];
  return [
    match,
    ...findBefore(layouts, scores, soft, { ...region, to: match.fromSlot }),
    ...findBefore(layouts, scores, soft, { ...region, from: match.toSlot, cutBefore: false }),
  ];
}

function findBest(
  layouts: readonly CompiledLayout[],
  scores: SlotScores,
  soft: SoftCharacters,
  region: Region,
): Found | null {
  if (region.to - region.from < FEWEST_SLOTS) return null;
  const best = bestSpan(layouts, scores, region);
  if (!best) return null;
  const { layout, span } = best;
  const near: Region = {
    from: span.startsWhole ? Math.max(region.from, span.from - MARGIN) : region.from,
    to: span.endsWhole ? Math.min(region.to, span.to + MARGIN) : region.to,
    cutBefore: !span.startsWhole,
    cutAfter: !span.endsWhole,
  };
  const decide = (as: CompiledLayout, rivals: readonly CompiledLayout[]) =>
    decideFrame({ layout: as, rivals, span, region: near, scores, soft });
  let frame = decide(layout, layouts);
  if (!frame) return null;
  const { text } = frame;
  const twins = sequenceOf(layout, layouts).filter(({ graph }) => matchPrinted(graph.printed, text).matched);
  const apart = layouts.filter((each) => !twins.includes(each));
  const decideAs = (as: CompiledLayout) => decide(as, apart);
  if (twins.length > 1) frame = decideAs(layout);
  return frame && { mission: layout.mission, frame, fromSlot: span.from, toSlot: span.to, twins, decideAs };
}

function sequenceOf(layout: CompiledLayout, layouts: readonly CompiledLayout[]): CompiledLayout[] {
  const { sequence } = layout.mission;
  if (!sequence.includes(layout.frame)) return [];
  return layouts.filter(({ mission, frame }) => mission === layout.mission && sequence.includes(frame));
}

/** Names the frames that only their order tells apart; those that it leaves open are doubtful. */
function inSequence(found: readonly Found[], named: string | undefined): MatchedFrame[] {
  const names = new Map<Found, string | null>();
  for (const mission of new Set(found.filter(({ twins }) => twins.length > 1).map((each) => each.mission))) {
    const ordered = found.filter((each) => each.mission === mission && mission.sequence.includes(each.frame.frame));
    const possible = ordered.map(({ twins, frame }) =>
      twins.length > 1 ? twins.map((twin) => twin.frame) : [frame.frame],
    );
    resolveSequence(mission.sequence, possible).forEach((name, i) => {
      names.set(ordered[i], name);
    });
  }
  return found.map((each) => {
    const { mission, fromSlot, toSlot } = each;
    const name = names.get(each) ?? named;
    const twin = each.twins.find(({ frame }) => frame === name);
    const frame = (twin && each.decideAs(twin)) ?? each.frame;
    return {
      mission,
      fromSlot,
      toSlot,
      frame: each.twins.length > 1 && !twin ? orderUnknown(frame, each.twins.length) : frame,
    };
  });
}

/** Whichever of its twins a frame is, its fields' values were read; but they may be another frame's fields. */
function orderUnknown(frame: DecodedFrame, twins: number): DecodedFrame {
  const { decision } = frame;
  const fields = Object.fromEntries(
    Object.entries(frame.fields).map(([id, field]) => [id, { ...field, confidence: field.confidence / twins }]),
  );
  return {
    ...frame,
    trust: 'doubtful',
    confidence: frame.confidence / twins,
    fields,
    decision: { ...decision, notes: [...decision.notes, ORDER_NOTE] },
  };
}

/** The layout that shows best in a region, and where; null where none shows at all. */
export function bestSpan(
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
