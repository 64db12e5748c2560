import { CODE_COUNT } from '../../teletype/soft-characters.ts';
import type { CodeGraph, CodeStep } from '../code-graph.ts';
import { SPACES_OF_CODE } from './code-gains.ts';

/** One code that a sender may key, with the step of the layout that it takes. Columns by move. */
export interface Moves {
  readonly code: Int32Array;
  readonly to: Int32Array;
  /** Prior of this code here. */
  readonly weight: Float64Array;
  /** Index into the graph's steps. */
  readonly step: Int32Array;
}

/**
 * Moves that differ in their code only and turn the phase alike: their likelihoods can be summed before the phase is turned.
 * Columns by group.
 */
export interface MoveGroups {
  readonly to: Int32Array;
  readonly weight: Float64Array;
  /** Codes of a group: `codes[firstCode[group]]` up to `codes[firstCode[group + 1]]`. */
  readonly firstCode: Int32Array;
  readonly codes: Int32Array;
}

/**
 * The plain ways through a layout: characters and the shifts that they need. Fill, phantoms and other liberties are left
 * out: this search is for machines that key the same way each minute, and every liberty multiplies its work.
 */
export interface SenderPaths {
  readonly graph: CodeGraph;
  readonly moves: Moves;
  /** Moves that leave a state: `firstMove[state]` up to `firstMove[state + 1]`. */
  readonly firstMove: Int32Array;
  readonly groups: MoveGroups;
  /** Groups that leave a state: `firstGroup[state]` up to `firstGroup[state + 1]`. */
  readonly firstGroup: Int32Array;
  /** States that some frame passes, by slot from its start; one entry more than the longest frame has characters. */
  readonly statesAt: readonly Int32Array[];
  /** Codes that some frame keys, by slot. */
  readonly codesAt: readonly Int32Array[];
  readonly ends: Uint8Array;
  /** What a move that is no shift prints. */
  readonly characterOf: (move: number) => string;
}

/** A step so much rarer than its state's likeliest is a liberty. */
const LIBERTY = Math.log(0.03);

export function senderPaths(graph: CodeGraph): SenderPaths {
  const code: number[] = [];
  const to: number[] = [];
  const weight: number[] = [];
  const steps: number[] = [];
  const firstMove = new Int32Array(graph.stateCount + 1);
  graph.outgoing.forEach((indices, state) => {
    for (const index of plainSteps(graph, indices)) {
      const step = graph.steps[index];
      for (const each of graph.sets[step.set].codes) {
        code.push(each);
        to.push(step.to);
        weight.push(Math.exp(step.logWeight));
        steps.push(index);
      }
    }
    firstMove[state + 1] = code.length;
  });
  const moves = {
    code: Int32Array.from(code),
    to: Int32Array.from(to),
    weight: Float64Array.from(weight),
    step: Int32Array.from(steps),
  };
  const ends = new Uint8Array(graph.stateCount);
  for (const end of graph.ends) ends[end] = 1;
  const characterOf = (move: number) => {
    const { codes, characters } = graph.sets[graph.steps[moves.step[move]].set];
    return characters[codes.indexOf(moves.code[move])];
  };
  return {
    graph,
    moves,
    firstMove,
    ...grouped(moves, firstMove),
    ends,
    ...bySlot(graph, moves, firstMove),
    characterOf,
  };
}

function grouped(moves: Moves, firstMove: Int32Array): Pick<SenderPaths, 'groups' | 'firstGroup'> {
  const to: number[] = [];
  const weight: number[] = [];
  const codes: number[] = [];
  const firstCode: number[] = [0];
  const firstGroup = new Int32Array(firstMove.length);
  for (let state = 0; state + 1 < firstMove.length; state++) {
    const alike = new Map<string, number[]>();
    for (let move = firstMove[state]; move < firstMove[state + 1]; move++) {
      const key = `${moves.to[move]} ${moves.weight[move]} ${SPACES_OF_CODE[moves.code[move]]}`;
      alike.set(key, [...(alike.get(key) ?? []), move]);
    }
    for (const members of alike.values()) {
      to.push(moves.to[members[0]]);
      weight.push(moves.weight[members[0]]);
      codes.push(...members.map((move) => moves.code[move]));
      firstCode.push(codes.length);
    }
    firstGroup[state + 1] = to.length;
  }
  return {
    firstGroup,
    groups: {
      to: Int32Array.from(to),
      weight: Float64Array.from(weight),
      firstCode: Int32Array.from(firstCode),
      codes: Int32Array.from(codes),
    },
  };
}

function plainSteps(graph: CodeGraph, indices: readonly number[]): number[] {
  const total = ({ logWeight, set }: CodeStep) => logWeight + Math.log(Math.max(1, graph.sets[set].codes.length));
  const steps = indices.map((index) => graph.steps[index]);
  const printed = (all: readonly CodeStep[]) =>
    all.flatMap(({ edge, set }) => (edge === null ? [] : [`${edge} ${set}`]));
  const here = new Set(printed(steps));
  // A shift that nothing behind it needs could be keyed for ever.
  const getsOn = ({ edge, to }: CodeStep) =>
    edge !== null || printed(graph.outgoing[to].map((index) => graph.steps[index])).some((each) => !here.has(each));
  const isMove = (step: CodeStep) => step.from !== step.to && getsOn(step) && graph.sets[step.set].codes.length > 0;
  const most = Math.max(...steps.filter((step) => step.from !== step.to || step.edge !== null).map(total));
  return indices.filter((_, i) => isMove(steps[i]) && total(steps[i]) >= most + LIBERTY);
}

function bySlot(graph: CodeGraph, moves: Moves, firstMove: Int32Array): Pick<SenderPaths, 'statesAt' | 'codesAt'> {
  const statesAt: Int32Array[] = [Int32Array.from(graph.starts)];
  const codesAt: Int32Array[] = [];
  for (;;) {
    const next = new Set<number>();
    const codes = new Uint8Array(CODE_COUNT);
    for (const state of statesAt[statesAt.length - 1]) {
      for (let move = firstMove[state]; move < firstMove[state + 1]; move++) {
        next.add(moves.to[move]);
        codes[moves.code[move]] = 1;
      }
    }
    // A layout has no loop among its plain ways: every frame comes to an end.
    if (next.size === 0) return { statesAt, codesAt };
    statesAt.push(Int32Array.from(next));
    codesAt.push(Int32Array.from(Array.from(codes.keys()).filter((each) => codes[each] === 1)));
  }
}
