import type { Beacon } from '../mission/types.ts';
import { type ElementPattern, PATTERN_ELEMENTS } from '../signal/known/types.ts';
import { CODE_FIGS, CODE_LTRS, CODE_SPACE, findCodes } from '../teletype/alphabets.ts';
import type { PrintedGraph } from './printed-graph.ts';

/** Places beyond this tell little that those before have not. */
const MOST_CHARACTERS = 96;
/** A place that fewer frames reach is left out. */
const LEAST_REACH = 0.3;

const UNKNOWN = 0;
const LETTERS = 1;
const FIGURES = 2;
const CASES = 3;

/**
 * What a layout makes a sender key, element by element from the frame's first character on: literals are certain, the
 * places after a field of varying width blur into the mean of what may stand there, start and stop elements stay as long
 * as the frame lasts. Ways through the layout, and the characters of a field, count as equally likely.
 */
export function expectedElements(graph: PrintedGraph, beacon: Pick<Beacon, 'alphabet' | 'shifts'>): ElementPattern {
  const { unshiftOnSpace = false, repeat = 1 } = beacon.shifts;
  const expected = new Float64Array(MOST_CHARACTERS * PATTERN_ELEMENTS);
  const reach = new Float64Array(MOST_CHARACTERS);
  // Probability that the character at a place is the next to be keyed from a node, in a case.
  const here = Array.from({ length: MOST_CHARACTERS }, () => new Map<number, number>());
  here[0].set(graph.start * CASES + UNKNOWN, 1);
  const key = (place: number, code: number, probability: number): void => {
    if (place >= MOST_CHARACTERS) return;
    reach[place] += probability;
    const at = place * PATTERN_ELEMENTS;
    expected[at] -= probability;
    for (let bit = 0; bit < 5; bit++) expected[at + 1 + bit] += (code >> bit) & 1 ? probability : -probability;
    expected[at + 6] += probability;
  };
  for (let place = 0; place < MOST_CHARACTERS; place++) {
    for (const [state, probability] of here[place]) {
      const keyed = state % CASES;
      const edges = graph.outgoing[(state - keyed) / CASES];
      for (const index of edges) {
        const edge = graph.edges[index];
        const share = probability / edges.length / edge.characters.length;
        for (const character of edge.characters) {
          const found = findCodes(character, beacon.alphabet);
          if (!found) continue;
          const needed = found.shift === 'both' ? keyed : found.shift === 'letters' ? LETTERS : FIGURES;
          let next = place;
          // Whether a frame begins with a shift depends on what came before it: its first character is the anchor.
          if (needed !== keyed && keyed !== UNKNOWN) {
            for (let i = 0; i < repeat; i++) key(next++, needed === LETTERS ? CODE_LTRS : CODE_FIGS, share);
          }
          key(next++, found.code, share);
          if (next >= MOST_CHARACTERS) continue;
          const after = unshiftOnSpace && found.code === CODE_SPACE ? LETTERS : needed;
          const to = edge.to * CASES + after;
          here[next].set(to, (here[next].get(to) ?? 0) + share);
        }
      }
    }
  }
  let characters = 0;
  while (characters < MOST_CHARACTERS && reach[characters] >= LEAST_REACH) characters++;
  return { characters, expected: expected.slice(0, characters * PATTERN_ELEMENTS) };
}
