import { findCodes } from '../teletype/alphabets.ts';
import type { CompiledLayout } from './compiled-mission.ts';

type Case = 'letters' | 'figures';
const CASES: readonly Case[] = ['letters', 'figures'];

interface Range {
  readonly least: number;
  readonly most: number;
}

const known = new WeakMap<CompiledLayout, boolean>();

/** Whether all that a layout can print takes as many characters, the shifts between them counted: then each has its place. */
export function hasOneLength(layout: CompiledLayout): boolean {
  const before = known.get(layout);
  if (before !== undefined) return before;
  const is = measure(layout);
  known.set(layout, is);
  return is;
}

function measure({ graph: { printed }, mission }: CompiledLayout): boolean {
  const ranges = Array.from({ length: printed.nodeCount }, () => new Map<Case, Range>());
  for (const shift of CASES) ranges[printed.start].set(shift, { least: 0, most: 0 });
  // Ordered by the node that they leave, which nothing behind it leads back to.
  for (const { from, to, characters } of printed.edges) {
    for (const character of characters) {
      const shift = findCodes(character, mission.beacon.alphabet)?.shift;
      for (const [held, { least, most }] of ranges[from]) {
        const next = shift === 'letters' || shift === 'figures' ? shift : held;
        // Where a frame begins, its shift stands before it.
        const slots = next === held || from === printed.start ? 1 : 2;
        const there = ranges[to].get(next);
        ranges[to].set(next, {
          least: Math.min(there?.least ?? Number.POSITIVE_INFINITY, least + slots),
          most: Math.max(there?.most ?? 0, most + slots),
        });
      }
    }
  }
  const ends = [...ranges[printed.end].values()];
  return Math.min(...ends.map(({ least }) => least)) === Math.max(...ends.map(({ most }) => most));
}
