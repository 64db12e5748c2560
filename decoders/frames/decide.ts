import { END_LOST_TOO } from './accept.ts';
import { type Candidate, listCandidates } from './candidates.ts';
import { agreementByChance } from './check-worth.ts';
import type { DecisionInput } from './decision-input.ts';
import { judge } from './judge.ts';
import { cutWeight } from './scan.ts';
import { totalMass } from './total-mass.ts';
import type { DecodedFrame } from './types.ts';
import { weigh } from './weigh.ts';
import { type WrittenCandidate, writeConsistent, writeReceived } from './write-candidate.ts';

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
    agreementByChance(layout),
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
