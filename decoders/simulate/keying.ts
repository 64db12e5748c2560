import { ensure } from './ensure.ts';

/** One state of the sender and how long it lasts, by the sender's own clock. */
export interface KeyingStep {
  readonly tone: 'mark' | 'space' | 'off';
  readonly seconds: number;
}

export interface StartStopOptions {
  readonly baud: number;
  /** Length of the stop element, any number >= 1. */
  readonly stopElements: number;
  /** Idle mark before the first character. Default 0. */
  readonly leadMarkElements?: number;
  /** Idle mark after the last stop element. Default 0. */
  readonly tailMarkElements?: number;
  /** Extra mark before character i, as a slow or irregular sender makes it. Default none. */
  readonly gapElements?: readonly number[] | ((index: number) => number);
}

export interface StartStopKeying {
  readonly steps: readonly KeyingStep[];
  /** Start of each character's start element, seconds from the first step. */
  readonly characterStartSeconds: Float64Array;
  readonly seconds: number;
}

/**
 * Keys five-unit codes start-stop: start element (space), five data elements, first sent = least significant bit, 1 =
 * mark, stop element (mark). Polarity and order as ITU-T V.4 has them.
 *
 * @param codes 0..31 each.
 * @throws FiveunitError `bad-code` or `bad-keying`.
 */
export function startStopKeying(codes: Uint8Array | readonly number[], options: StartStopOptions): StartStopKeying {
  const { baud, stopElements, leadMarkElements = 0, tailMarkElements = 0, gapElements } = options;
  ensure(baud > 0 && baud < 1e6, 'bad-keying', `baud is ${baud}; it must be a positive number of elements a second`);
  ensure(
    stopElements >= 1 && stopElements < 1e6,
    'bad-keying',
    `stopElements is ${stopElements}; a stop element is 1 or longer`,
  );

  const element = 1 / baud;
  const steps: KeyingStep[] = [];
  const characterStartSeconds = new Float64Array(codes.length);
  // Counted in elements and multiplied out, so that no rounding piles up over a long burst.
  let elements = 0;
  const key = (mark: boolean, length: number): void => {
    ensure(length >= 0 && length < 1e9, 'bad-keying', `a mark of ${length} elements was asked for; use 0 or more`);
    if (length === 0) return;
    steps.push({ tone: mark ? 'mark' : 'space', seconds: length * element });
    elements += length;
  };

  key(true, leadMarkElements);
  for (let i = 0; i < codes.length; i++) {
    const code = codes[i];
    const isCode = Number.isInteger(code) && code >= 0 && code <= 31;
    ensure(isCode, 'bad-code', `character ${i} is ${code}; five-unit codes are whole numbers 0 to 31`);
    key(true, typeof gapElements === 'function' ? gapElements(i) : (gapElements?.[i] ?? 0));
    characterStartSeconds[i] = elements * element;
    key(false, 1);
    for (let bit = 0; bit < 5; bit++) key(((code >> bit) & 1) === 1, 1);
    key(true, stopElements);
  }
  key(true, tailMarkElements);
  return { steps, characterStartSeconds, seconds: elements * element };
}
