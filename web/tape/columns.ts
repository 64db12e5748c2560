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
