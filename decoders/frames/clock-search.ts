import { type DemodulatedBurst, softAt } from '../teletype/demodulate.ts';
import type { SoftCharacters } from '../teletype/types.ts';
import type { CompiledLayout } from './compiled-mission.ts';
import { type Span, scanForFrame } from './scan.ts';
import { SlotScores } from './slot-scores.ts';

/** Places of the clock that are tried, a character. */
const PHASES_PER_ELEMENT = 4;

/**
 * Timing by the layouts: near the limit no start element can be trusted alone, but a machine keeps one clock through
 * its burst, and only with the right one do the literals of a layout appear. Tries the clock at every quarter of an
 * element and returns the best, with soft characters the whole stretch through; null where no clock is worth trying.
 */
export function softByClock(signal: DemodulatedBurst, layouts: readonly CompiledLayout[]): OnClock | null {
  return likelyPeriods(signal, layouts)
    .map((characterSeconds) => bestPhase(signal, layouts, characterSeconds))
    .reduce(better, null);
}

/** Soft characters at every tick of a clock, and where a layout shows best among them. */
export interface OnClock {
  readonly soft: SoftCharacters;
  readonly characterSeconds: number;
  readonly layout: CompiledLayout;
  readonly span: Span;
}

/**
 * Timing by the search for what a beacon must say: what it says begins where that search placed it, and the layout that shows
 * best after that. Null for a burst that was not found so.
 */
export function softFromKnownStart(signal: DemodulatedBurst, layouts: readonly CompiledLayout[]): OnClock | null {
  const { knownStartSeconds, characterSeconds } = signal;
  const placed = knownStartSeconds === null ? null : onClock(signal, layouts, knownStartSeconds, characterSeconds);
  return placed && { ...placed, span: { ...placed.span, from: 0 } };
}

/** Clocks worth trying: what the missions say where the burst comes near it, and what it measured. */
function likelyPeriods(signal: DemodulatedBurst, layouts: readonly CompiledLayout[]): number[] {
  const periods = new Set(signal.isRegular ? [signal.characterSeconds] : []);
  for (const { mission } of layouts) {
    const { baud, stopElements } = mission.beacon;
    if (baud === undefined) continue;
    const stated = (6 + (stopElements ?? signal.stopElements)) / baud;
    if (Math.abs(stated / signal.characterSeconds - 1) < STATED_TOLERANCE) periods.add(stated);
  }
  return [...periods];
}

const STATED_TOLERANCE = 0.015;

function better(a: OnClock | null, b: OnClock | null): OnClock | null {
  if (!a || !b) return a ?? b;
  return b.span.score > a.span.score ? b : a;
}

function bestPhase(
  signal: DemodulatedBurst,
  layouts: readonly CompiledLayout[],
  characterSeconds: number,
): OnClock | null {
  const { baseband, elements } = signal;
  const phases = Math.round((PHASES_PER_ELEMENT * characterSeconds) / elements.elementSeconds);
  let best: OnClock | null = null;
  for (let phase = 0; phase < phases; phase++) {
    const startSeconds = baseband.startSeconds + (phase * characterSeconds) / phases;
    best = better(best, onClock(signal, layouts, startSeconds, characterSeconds));
  }
  return best;
}

/** Soft characters from a time on, and the layout that shows best among them. */
function onClock(
  { baseband, elements }: DemodulatedBurst,
  layouts: readonly CompiledLayout[],
  startSeconds: number,
  characterSeconds: number,
): OnClock | null {
  const endSeconds = baseband.startSeconds + baseband.re.length / baseband.rateHz;
  const count = Math.max(0, Math.floor((endSeconds - startSeconds) / characterSeconds));
  const soft = softAt(
    elements,
    Float64Array.from({ length: count }, (_, k) => startSeconds + k * characterSeconds),
  );
  const scores = new SlotScores(soft);
  const region = { from: 0, to: count, cutBefore: false, cutAfter: false };
  return layouts
    .map((layout): OnClock | null => {
      const span = scanForFrame(layout.graph, scores, region);
      return span && { soft, characterSeconds, layout, span };
    })
    .reduce(better, null);
}
