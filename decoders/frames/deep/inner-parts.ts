import type { CompiledLayout } from '../compiled-mission.ts';
import { derivedTexts, type WrittenCharacter } from '../write-candidate.ts';
import { keyedUpTo } from './links.ts';
import type { Receptions } from './receptions.ts';
import type { Arrival, Survivors } from './survivors.ts';

/** A place where a derived part may end, and the phases there. */
interface PartEnd {
  readonly slot: number;
  readonly state: number;
  readonly vector: Float64Array;
  /** Of the likeliest way. */
  readonly characters: readonly WrittenCharacter[];
}

/** Where a derived part begins. */
interface PartBegin {
  readonly slot: number;
  readonly state: number;
  readonly vector: Float64Array;
}

interface Way extends PartEnd {
  readonly done: number;
  readonly weight: number;
}

/** Keys derived parts behind which more is open: a field, or whether and how the frame goes on. */
export class InnerParts {
  private readonly layout: CompiledLayout;
  private readonly receptions: Receptions;

  constructor(layout: CompiledLayout, receptions: Receptions) {
    this.layout = layout;
    this.receptions = receptions;
  }

  /** A survivor behind each derived part that begins in its state: wherever it may end, with any text, and with what is called for. */
  pass(slot: number, { states, links, vectors, logScale, called }: Survivors, index: number): Arrival[] {
    const { layout, receptions } = this;
    const { paths, width } = receptions;
    if (called === null) return [];
    const state = states[index];
    const before = links[index];
    const own = (all: Float64Array) => all.slice(index * width, (index + 1) * width);
    return this.beginningIn(state).flatMap((part) => {
      const leap = { part, fromSlot: slot, fromState: state, toSlot: slot, toState: state, logSum: 0 };
      const { items } = keyedUpTo({ before, leap, characters: [], logMost: 0 }, paths);
      const text = derivedTexts(layout, { items }).get(leap);
      const isCheck = layout.parts.owners[part].kind === 'check';
      const logMost = isCheck ? 0 : layout.parts.surprise(part, paths.graph.nodeOfState[state], text ?? '');
      const fitting = text === undefined ? [] : this.endsOf(part, { slot, state, vector: own(called.vectors) }, text);
      return this.endsOf(part, { slot, state, vector: own(vectors) }, null).map((end): Arrival => {
        const fit = fitting.find((each) => each.slot === end.slot && each.state === end.state);
        return {
          slot: end.slot,
          state: end.state,
          link: { before, leap, characters: fit?.characters ?? end.characters, logMost },
          free: { vectors: end.vector, logScale },
          called: { vectors: fit?.vector ?? new Float64Array(width), logScale: called.logScale },
        };
      });
    });
  }

  /** Derived parts of which a character may be keyed next. */
  private beginningIn(state: number): number[] {
    const { steps, outgoing } = this.receptions.paths.graph;
    const parts = outgoing[state].map((index) => this.layout.parts.partOf(steps[index]));
    return [...new Set(parts)].filter((part) => part >= 0);
  }

  /** Whether a move keys a character of a derived part. */
  isOfPart(move: number): boolean {
    return this.partOf(move) >= 0;
  }

  /**
   * All ends of a part from where it begins: with any text in it, or with one text whose likelihood counts and not its prior, as
   * it was sure before.
   */
  private endsOf(part: number, begin: PartBegin, text: string | null): PartEnd[] {
    const ends: Way[] = [];
    let ways: readonly Way[] = [{ ...begin, characters: [], done: 0, weight: 1 }];
    for (let slot = begin.slot; slot < this.receptions.slots && ways.length > 0; slot++) {
      const next = new Map<string, Way>();
      for (const way of ways) this.keyAll(part, way, text, next);
      ways = [...next.values()];
      ends.push(...ways.filter((way) => this.mayEnd(part, way, text)));
    }
    return ends;
  }

  private keyAll(part: number, way: Way, text: string | null, into: Map<string, Way>): void {
    const { receptions, layout } = this;
    const { firstMove, moves, graph } = receptions.paths;
    receptions.mix(way.vector, 0, 0);
    for (let move = firstMove[way.state]; move < firstMove[way.state + 1]; move++) {
      const { edge } = graph.steps[moves.step[move]];
      const isInPart = this.partOf(move) === part;
      // A shift before the first character stands before the part.
      if (!isInPart && (edge !== null || way.done === 0)) continue;
      let { characters, done } = way;
      let prior = moves.weight[move];
      if (isInPart && edge !== null) {
        const character = receptions.paths.characterOf(move);
        if (text !== null) {
          if (text[done] !== character) continue;
          prior *= graph.printed.edges[edge].characters.length;
        }
        done++;
        const owner = layout.parts.owners[part];
        characters = [...characters, { character, owner, slot: way.slot, edge: null }];
      }
      const vector = new Float64Array(receptions.width);
      receptions.key(way.slot, moves.code[move], prior, 0, vector, 0);
      const weight = receptions.sumOf(vector, 0);
      if (weight > 0) add(into, { slot: way.slot + 1, state: moves.to[move], vector, characters, done, weight });
    }
  }

  /** Behind its last character; shifts after that stand behind the part. */
  private mayEnd(part: number, { slot, state, done, characters }: Way, text: string | null): boolean {
    if (characters.at(-1)?.slot !== slot - 1 || (text !== null && done !== text.length)) return false;
    return this.layout.parts.mayLeave(part, state);
  }

  private partOf(move: number): number {
    const { graph, moves } = this.receptions.paths;
    return this.layout.parts.partOf(graph.steps[moves.step[move]]);
  }
}

function add(into: Map<string, Way>, way: Way): void {
  const isShift = way.characters.at(-1)?.slot !== way.slot - 1;
  const key = `${way.state} ${way.done} ${isShift}`;
  const known = into.get(key);
  if (known === undefined) {
    into.set(key, way);
    return;
  }
  const vector = known.vector.map((value, i) => value + way.vector[i]);
  const { characters } = way.weight > known.weight ? way : known;
  into.set(key, { ...known, vector, characters, weight: known.weight + way.weight });
}
