import type { Link } from './links.ts';
import type { Receptions } from './receptions.ts';

/** Vectors of readings, one after the other, that count times exp(logScale). */
export interface Scaled {
  readonly vectors: Float64Array;
  readonly logScale: number;
}

/** Readings of the slots so far; the product of a reading's vectors counts. */
export interface Survivors extends Scaled {
  /** Part of all such readings that is still among them. */
  readonly kept: number;
  readonly states: readonly number[];
  readonly links: readonly (Link | null)[];
  /** The same readings with derived parts as they call for them; null where none is passed through. */
  readonly called: Scaled | null;
}

/** A reading behind a derived part that it passed through. */
export interface Arrival {
  readonly slot: number;
  readonly state: number;
  readonly link: Link;
  readonly free: Scaled;
  readonly called: Scaled;
}

/** Survivors with those that arrive in their slot from derived parts; of all the `most` likeliest. */
export function joined(
  survivors: Survivors,
  arrivals: readonly Arrival[],
  slot: number,
  receptions: Receptions,
  most: number,
): Survivors {
  const { called, kept } = survivors;
  if (arrivals.length === 0 || called === null) return survivors;
  const { width } = receptions;
  const states = [...survivors.states, ...arrivals.map(({ state }) => state)];
  const links = [...survivors.links, ...arrivals.map(({ link }) => link)];
  const all = concatenated(
    survivors,
    arrivals.map(({ free }) => free),
  );
  const allCalled = concatenated(
    called,
    arrivals.map((arrival) => arrival.called),
  );
  const values = states.map((state, i) => receptions.valueOf(slot, state, all.vectors, i * width));
  const likeliest = Array.from(values.keys())
    .sort((a, b) => values[b] - values[a])
    .slice(0, most);
  return {
    ...chosen(all, likeliest, width),
    kept,
    states: likeliest.map((i) => states[i]),
    links: likeliest.map((i) => links[i]),
    called: chosen(allCalled, likeliest, width),
  };
}

function concatenated(own: Scaled, others: readonly Scaled[]): Scaled {
  const logScale = own.vectors.length > 0 ? own.logScale : others[0].logScale;
  const vectors = new Float64Array(others.reduce((sum, each) => sum + each.vectors.length, own.vectors.length));
  vectors.set(own.vectors);
  let at = own.vectors.length;
  for (const other of others) {
    const factor = Math.exp(other.logScale - logScale);
    for (const value of other.vectors) vectors[at++] = factor * value;
  }
  return { vectors, logScale };
}

function chosen({ vectors, logScale }: Scaled, rows: readonly number[], width: number): Scaled {
  const few = new Float64Array(rows.length * width);
  rows.forEach((row, n) => {
    few.set(vectors.subarray(row * width, (row + 1) * width), n * width);
  });
  return { vectors: few, logScale };
}
