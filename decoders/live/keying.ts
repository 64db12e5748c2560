import type { StopElements } from '../mission/types.ts';

/** What must be known of keyed tones to read them as they come. */
export interface Keying {
  readonly baud: number;
  readonly stopElements: StopElements;
  /** At `atSeconds`. */
  readonly markHz: number;
  readonly spaceHz: number;
  readonly driftHzPerSecond: number;
  readonly atSeconds: number;
}

/** The same keying, its tones as they will be, or were, at another time. */
export function keyingAt(keying: Keying, atSeconds: number): Keying {
  const moved = keying.driftHzPerSecond * (atSeconds - keying.atSeconds);
  return { ...keying, markHz: keying.markHz + moved, spaceHz: keying.spaceHz + moved, atSeconds };
}

/** Whether two keyings hold one signal: their tones are within an element rate of each other. */
export function isSameSignal(a: Keying, b: Pick<Keying, 'markHz' | 'spaceHz' | 'baud'>, atSeconds: number): boolean {
  const { markHz, spaceHz } = keyingAt(a, atSeconds);
  const reach = Math.max(a.baud, b.baud);
  const low = Math.abs(Math.min(markHz, spaceHz) - Math.min(b.markHz, b.spaceHz));
  const high = Math.abs(Math.max(markHz, spaceHz) - Math.max(b.markHz, b.spaceHz));
  return low < reach && high < reach;
}

export const characterSeconds = ({ baud, stopElements }: Pick<Keying, 'baud' | 'stopElements'>): number =>
  (6 + stopElements) / baud;
