import type { Alphabet, Beacon } from '../mission/types.ts';
import {
  CODE_CR,
  CODE_FIGS,
  CODE_LF,
  CODE_LTRS,
  CODE_NUL,
  CODE_SPACE,
  charactersOf,
  findCodes,
} from '../teletype/alphabets.ts';
import type { PrintedGraph } from './printed-graph.ts';

/**
 * A layout as a weighted automaton over five-unit codes: the printed graph with the receiver's case carried along, the
 * shift codes that a sender keys where the case changes, and the fill that may stand anywhere between characters. Every
 * search over a burst walks this one structure.
 *
 * A state is a node of the printed graph in one case; nodes whose next character may be of either case have a second
 * pair of states for "just shifted", after which only characters of that case make sense.
 */
export interface CodeGraph {
  readonly printed: PrintedGraph;
  readonly stateCount: number;
  readonly nodeOfState: Int32Array;
  /** States in which a frame may begin (either case), each with the same weight. */
  readonly starts: readonly number[];
  readonly ends: readonly number[];
  readonly steps: readonly CodeStep[];
  /** The steps once more as columns, for loops over all of them. */
  readonly columns: StepColumns;
  /** Indices into `steps` by the state that they leave. */
  readonly outgoing: readonly (readonly number[])[];
  /** Sets of codes that steps accept. */
  readonly sets: readonly CodeSet[];
}

export interface StepColumns {
  readonly count: number;
  readonly from: Int32Array;
  readonly to: Int32Array;
  readonly set: Int32Array;
  readonly logWeight: Float64Array;
  /** exp(logWeight). */
  readonly weight: Float64Array;
}

/** One code received. */
export interface CodeStep {
  readonly from: number;
  readonly to: number;
  /** Index into `CodeGraph.sets`. */
  readonly set: number;
  /** Log-probability of this step with one certain code of its set. */
  readonly logWeight: number;
  /** Edge of the printed graph; null for shifts and fill. */
  readonly edge: number | null;
}

/** Codes that a step accepts, each with the character it prints there ('' for fill). No character stands there when empty. */
export interface CodeSet {
  readonly codes: readonly number[];
  readonly characters: readonly string[];
}

/*
 * How often senders key what the text does not need. The values are rough (common practice): they only rank readings
 * that the signal itself leaves open.
 */
const NEEDLESS_SHIFT = 0.01;
const REPEATED_SHIFT = 0.4;
const FILL = 0.002;
const FURTHER_SPACE = 0.02;
/** A slot that the timing made up where no character was sent; start and stop then speak for it. */
const PHANTOM_SLOT = 1e-6;
const UNSHIFT_ON_SPACE = { unknown: 0.05, yes: 0.95, no: 0.001 };

const LETTERS = 0;
const FIGURES = 1;
const STATES_PER_NODE = 4;
const JUST_SHIFTED = 2;

export function compileCodeGraph(printed: PrintedGraph, beacon: Pick<Beacon, 'alphabet' | 'shifts'>): CodeGraph {
  return new CodeGraphDraft(printed, beacon).finish();
}

class CodeGraphDraft {
  private readonly printed: PrintedGraph;
  private readonly alphabet: Alphabet;
  private readonly shifts: Beacon['shifts'];
  private readonly steps: CodeStep[] = [];
  private readonly sets: CodeSet[] = [];
  private readonly setIndex = new Map<string, number>();
  private readonly afterSpace: Uint8Array;

  constructor(printed: PrintedGraph, beacon: Pick<Beacon, 'alphabet' | 'shifts'>) {
    this.printed = printed;
    this.alphabet = beacon.alphabet;
    this.shifts = beacon.shifts;
    this.afterSpace = new Uint8Array(printed.nodeCount);
    for (const edge of printed.edges) if (edge.characters === ' ') this.afterSpace[edge.to] = 1;
    for (let node = 0; node < printed.nodeCount; node++) {
      if (node !== printed.end) this.addNode(node);
    }
  }

  finish(): CodeGraph {
    const { printed, steps, sets } = this;
    const stateCount = printed.nodeCount * STATES_PER_NODE;
    const outgoing: number[][] = Array.from({ length: stateCount }, () => []);
    for (let i = 0; i < steps.length; i++) outgoing[steps[i].from].push(i);
    const nodeOfState = Int32Array.from({ length: stateCount }, (_, state) => Math.floor(state / STATES_PER_NODE));
    return {
      printed,
      stateCount,
      nodeOfState,
      starts: [stateOf(printed.start, LETTERS), stateOf(printed.start, FIGURES)],
      ends: [stateOf(printed.end, LETTERS), stateOf(printed.end, FIGURES)],
      steps,
      columns: {
        count: steps.length,
        from: Int32Array.from(steps, (step) => step.from),
        to: Int32Array.from(steps, (step) => step.to),
        set: Int32Array.from(steps, (step) => step.set),
        logWeight: Float64Array.from(steps, (step) => step.logWeight),
        weight: Float64Array.from(steps, (step) => Math.exp(step.logWeight)),
      },
      outgoing,
      sets,
    };
  }

  private addNode(node: number): void {
    const choices = this.choicesAt(node);
    let inCase = [0, 0];
    for (const choice of choices) inCase = inCase.map((n, shift) => n + (choice.shifts[shift] ? 1 : 0));
    const needsLetters = choices.length - inCase[FIGURES];
    const needsFigures = choices.length - inCase[LETTERS];
    const mixed = needsLetters > 0 && needsFigures > 0;
    for (const shift of [LETTERS, FIGURES]) {
      const needsOther = shift === LETTERS ? needsFigures : needsLetters;
      const fill = node === this.printed.start ? 0 : this.addFill(node, stateOf(node, shift), shift);
      const sent = 1 - fill;
      this.addChoices(choices, stateOf(node, shift), shift, sent / choices.length);
      if (needsOther > 0 && node !== this.printed.start) {
        const to = stateOf(node, 1 - shift) + (mixed ? JUST_SHIFTED : 0);
        this.add(stateOf(node, shift), to, shiftCode(1 - shift), (sent * needsOther) / choices.length);
      }
      if (mixed && node !== this.printed.start) {
        const state = stateOf(node, shift) + JUST_SHIFTED;
        const shiftedFill = this.addFill(node, state, shift);
        const choicesHere = shift === LETTERS ? needsLetters : needsFigures;
        const only = choices.filter((choice) => !choice.shifts[1 - shift]);
        this.addChoices(only, state, shift, (1 - shiftedFill) / choicesHere);
      }
    }
  }

  private choicesAt(node: number): Choice[] {
    const choices: Choice[] = [];
    for (const index of this.printed.outgoing[node]) {
      const edge = this.printed.edges[index];
      for (const character of edge.characters) {
        const found = findCodes(character, this.alphabet);
        if (!found) continue;
        const { code, shift } = found;
        choices.push({
          edge: index,
          to: edge.to,
          code,
          character,
          shifts: [shift !== 'figures', shift !== 'letters'],
        });
      }
    }
    return choices;
  }

  /** Adds what may be received without getting on in the text; returns its probability. */
  private addFill(node: number, state: number, shift: number): number {
    let total = 0;
    const fill = (to: number, code: number, probability: number) => {
      this.add(state, to, code, probability);
      total += probability;
    };
    const repeated = (this.shifts.repeat ?? 1) > 1 ? REPEATED_SHIFT : NEEDLESS_SHIFT;
    fill(state, shiftCode(shift), repeated);
    if (!this.casesDiffer(node)) fill(stateOf(node, 1 - shift), shiftCode(1 - shift), NEEDLESS_SHIFT);
    fill(state, CODE_NUL, FILL);
    const space = this.afterSpace[node] ? FURTHER_SPACE : 0;
    if (space > 0) fill(state, CODE_SPACE, space);
    fill(state, CODE_CR, FILL + space);
    fill(state, CODE_LF, FILL + space);
    const bell = this.alphabet === 'ita2' ? BELL_ITA2 : BELL_US_TTY;
    if (shift === FIGURES && charactersOf(this.alphabet).figures[bell] === '') fill(state, bell, FILL);
    this.steps.push({
      from: state,
      to: state,
      set: this.setOf([], []),
      logWeight: Math.log(PHANTOM_SLOT),
      edge: null,
    });
    return total + PHANTOM_SLOT;
  }

  /** Whether some character at this node needs a shift, which then is a step of its own. */
  private casesDiffer(node: number): boolean {
    return this.choicesAt(node).some((choice) => !choice.shifts[LETTERS] || !choice.shifts[FIGURES]);
  }

  private addChoices(choices: readonly Choice[], state: number, shift: number, probability: number): void {
    const byEdge = new Map<number, Choice[]>();
    for (const choice of choices) {
      if (choice.shifts[shift]) byEdge.set(choice.edge, [...(byEdge.get(choice.edge) ?? []), choice]);
    }
    for (const [edge, group] of byEdge) {
      const to = group[0].to;
      if (group[0].character === ' ') {
        this.addSpace(edge, to, state, shift, probability);
        continue;
      }
      const set = this.setOf(
        group.map((choice) => choice.code),
        group.map((choice) => choice.character),
      );
      this.steps.push({ from: state, to: stateOf(to, shift), set, logWeight: Math.log(probability), edge });
    }
  }

  /** A space may arrive as a line end, and may or may not return the receiver to letters. */
  private addSpace(edge: number, to: number, state: number, shift: number, probability: number): void {
    const { unshiftOnSpace } = this.shifts;
    const unshift = UNSHIFT_ON_SPACE[unshiftOnSpace === undefined ? 'unknown' : unshiftOnSpace ? 'yes' : 'no'];
    const ways: readonly (readonly [code: number, share: number])[] = [
      [CODE_SPACE, 1 - 2 * FURTHER_SPACE],
      [CODE_CR, FURTHER_SPACE],
      [CODE_LF, FURTHER_SPACE],
    ];
    for (const [code, share] of ways) {
      const set = this.setOf([code], [' ']);
      const kept = shift === FIGURES ? 1 - unshift : 1;
      const logWeight = Math.log(probability * share * kept);
      this.steps.push({ from: state, to: stateOf(to, shift), set, logWeight, edge });
      if (shift === FIGURES) {
        const unshifted = Math.log(probability * share * unshift);
        this.steps.push({ from: state, to: stateOf(to, LETTERS), set, logWeight: unshifted, edge });
      }
    }
  }

  private add(from: number, to: number, code: number, probability: number): void {
    this.steps.push({ from, to, set: this.setOf([code], ['']), logWeight: Math.log(probability), edge: null });
  }

  private setOf(codes: readonly number[], characters: readonly string[]): number {
    const key = `${codes.join()}:${characters.join('')}`;
    const known = this.setIndex.get(key);
    if (known !== undefined) return known;
    this.sets.push({ codes, characters });
    this.setIndex.set(key, this.sets.length - 1);
    return this.sets.length - 1;
  }
}

interface Choice {
  readonly edge: number;
  readonly to: number;
  readonly code: number;
  readonly character: string;
  /** Whether it prints in letters case, in figures case. */
  readonly shifts: readonly [boolean, boolean];
}

/** Figures case of J in ITA2 (ITU-T Rec. S.1), of S in US-TTY. */
const BELL_ITA2 = 11;
const BELL_US_TTY = 5;

function stateOf(node: number, shift: number): number {
  return node * STATES_PER_NODE + shift;
}

function shiftCode(shift: number): number {
  return shift === LETTERS ? CODE_LTRS : CODE_FIGS;
}
