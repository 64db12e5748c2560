import type { SoundWindow } from './sound-window.ts';

/** Columns of a tile: enough that a screen takes few, so few that each is there soon. */
export const TILE_COLUMNS = 256;

/** Time of a column at the finest level; each level above doubles it. */
const FINEST_COLUMN_SECONDS = 0.004;
/** Columns of up to this are made of all the sound in them; longer ones of a piece from the middle of each. */
const WHOLE_COLUMN_SECONDS = 0.13;
const COARSEST_LEVEL = 20;

/** A piece of a spectrogram: so many columns at one level, numbered from the start of the recording. */
export interface TileKey {
  readonly level: number;
  readonly index: number;
}

export const keyText = ({ level, index }: TileKey): string => `${level}/${index}`;

export const columnSeconds = (level: number): number => FINEST_COLUMN_SECONDS * 2 ** level;

export const tileSeconds = (level: number): number => TILE_COLUMNS * columnSeconds(level);

export function tileWindow({ level, index }: TileKey): SoundWindow {
  const seconds = tileSeconds(level);
  return { fromSeconds: index * seconds, toSeconds: (index + 1) * seconds };
}

/** Whether columns of this level are only samples of the time that they stand for. */
export const isSampled = (level: number): boolean => columnSeconds(level) > WHOLE_COLUMN_SECONDS;

/** The level whose columns are as wide as a pixel, or the next finer one. */
export function levelFor(secondsPerPixel: number): number {
  const level = Math.floor(Math.log2(secondsPerPixel / FINEST_COLUMN_SECONDS));
  return Math.min(Math.max(level, 0), COARSEST_LEVEL);
}

/** The tiles that a window needs, in the order of time; those of the whole sound only. */
export function tilesFor(window: SoundWindow, level: number, whole: SoundWindow): TileKey[] {
  const seconds = tileSeconds(level);
  const from = Math.max(window.fromSeconds, whole.fromSeconds);
  const to = Math.min(window.toSeconds, whole.toSeconds);
  const first = Math.floor(from / seconds);
  const last = Math.ceil(to / seconds) - 1;
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, i) => ({ level, index: first + i }));
}
