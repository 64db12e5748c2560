import type { TapeCharacter, TapeSlot } from '../../server/http/messages.ts';

/** Of a slot's seven elements (start, five data elements, stop) the tape shows the data elements. */
const FIRST_DATA_ELEMENT = 1;
const DATA_ELEMENTS = 5;

/** One character of a burst as the tape shows it. */
export interface TapeColumn {
  readonly slot: number;
  /** Seconds from the start of the recording. */
  readonly startSeconds: number;
  /** Probability of mark for each data element, in sending order. */
  readonly mark: readonly number[];
  /** What is printed under the column; empty for shifts, line ends and blanks. */
  readonly text: string;
  /** Probability that `text` was sent; for a column without text, that its five elements are as they stand. */
  readonly confidence: number;
}

const probabilityOfMark = (llr: number): number => 1 / (1 + Math.exp(-llr));

/** The columns of a tape: one a slot, in the order they were sent, each with the character printed for it, if any. */
export function tapeColumns(slots: readonly TapeSlot[], printed: readonly TapeCharacter[]): TapeColumn[] {
  const bySlot = new Map(printed.map((character) => [character.slot, character]));
  return slots.map(({ slot, startSeconds, elements }) => {
    const mark = elements.slice(FIRST_DATA_ELEMENT, FIRST_DATA_ELEMENT + DATA_ELEMENTS).map(probabilityOfMark);
    const character = bySlot.get(slot);
    return {
      slot,
      startSeconds,
      mark,
      text: character?.text ?? '',
      confidence: character?.confidence ?? mark.reduce((all, p) => all * Math.max(p, 1 - p), 1),
    };
  });
}

/** Which column is being sent at a moment: the last that has begun. Undefined before the first. */
export function columnAt(columns: readonly TapeColumn[], seconds: number): number | undefined {
  let [from, to] = [0, columns.length];
  while (from < to) {
    const middle = (from + to) >> 1;
    if (columns[middle].startSeconds <= seconds) from = middle + 1;
    else to = middle;
  }
  return from === 0 ? undefined : from - 1;
}

/** When the slots of some columns were sent; neighbouring ones together. The last one ends where the burst does. */
export function stretchesOf(
  columns: readonly TapeColumn[],
  slots: ReadonlySet<number>,
  endSeconds: number,
): { fromSeconds: number; toSeconds: number }[] {
  const stretches: { fromSeconds: number; toSeconds: number }[] = [];
  columns.forEach(({ slot, startSeconds }, i) => {
    if (!slots.has(slot)) return;
    const toSeconds = columns[i + 1]?.startSeconds ?? Math.max(endSeconds, startSeconds);
    const last = stretches.at(-1);
    if (last !== undefined && slots.has(columns[i - 1]?.slot ?? -1)) last.toSeconds = toSeconds;
    else stretches.push({ fromSeconds: startSeconds, toSeconds });
  });
  return stretches;
}
