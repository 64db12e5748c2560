import type { TapeColumn } from './columns.ts';

/*
 * Proportions of real five-track tape, common practice: all holes one pitch apart both ways, the small feed hole on a
 * pitch of its own between tracks two and three.
 */
const PITCH = 9;
const HOLE_RADIUS = 0.36 * PITCH;
const FEED_RADIUS = 0.21 * PITCH;
const TRACKS = [0, 1, 3, 4, 5];
const FEED_TRACK = 2;
const FIRST_TRACK_Y = 0.8 * PITCH;
const NARROW = 0.55;

export const COLUMN_WIDTH = 14;
export const PAPER_HEIGHT = 6.6 * PITCH;
export const STRIP_HEIGHT = PAPER_HEIGHT + 22;
/** Bare tape before the first and after the last column. */
export const LEADER = 8;

export interface PlacedColumn {
  readonly column: TapeColumn;
  readonly x: number;
  readonly width: number;
}

const isNarrow = (column: TapeColumn): boolean => column.text === '';
const widthOf = (column: TapeColumn): number => (isNarrow(column) ? NARROW : 1) * COLUMN_WIDTH;

/** Cuts a tape into strips no wider than `width` pixels, as telegrams were glued; each column placed in its strip. */
export function strips(columns: readonly TapeColumn[], width: number): PlacedColumn[][] {
  const out: PlacedColumn[][] = [];
  let strip: PlacedColumn[] = [];
  let x = LEADER;
  for (const column of columns) {
    const w = widthOf(column);
    if (strip.length > 0 && x + w + LEADER > width) {
      out.push(strip);
      strip = [];
      x = LEADER;
    }
    strip.push({ column, x, width: w });
    x += w;
  }
  if (strip.length > 0) out.push(strip);
  return out;
}

/** A tape that is not cut, in pieces of so many columns: each placed in its piece, bare tape before the first and last. */
export function pieces(columns: readonly TapeColumn[], most: number): PlacedColumn[][] {
  const out: PlacedColumn[][] = [];
  for (let from = 0; from < columns.length; from += most) {
    let x = from === 0 ? LEADER : 0;
    out.push(
      columns.slice(from, from + most).map((column) => {
        const placed = { column, x, width: widthOf(column) };
        x += placed.width;
        return placed;
      }),
    );
  }
  return out;
}

/** Width of a piece in pixels: it ends with its last column, but for the last piece. */
export function pieceWidth(piece: readonly PlacedColumn[], isLast: boolean): number {
  return stripWidth(piece) - (isLast ? 0 : LEADER);
}

/** Width of a strip in pixels, its leaders included. */
export function stripWidth(strip: readonly PlacedColumn[]): number {
  const last = strip.at(-1);
  return last === undefined ? 0 : last.x + last.width + LEADER;
}

const round = (n: number): string => String(Math.round(n * 100) / 100);

function ellipse(cx: number, cy: number, rx: number, ry: number): string {
  const [x, y, a, b, w] = [cx - rx, cy, rx, ry, 2 * rx].map(round);
  return `M${x} ${y}a${a} ${b} 0 1 0 ${w} 0a${a} ${b} 0 1 0 -${w} 0`;
}

/** All holes of a strip as one path: the area of a hole is the probability of mark. */
export function holesPath(strip: readonly PlacedColumn[]): string {
  let path = '';
  for (const { column, x, width } of strip) {
    const squeeze = width / COLUMN_WIDTH;
    column.mark.forEach((p, element) => {
      const radius = HOLE_RADIUS * Math.sqrt(p);
      if (radius < 0.25) return;
      const y = FIRST_TRACK_Y + (TRACKS[element] ?? 0) * PITCH;
      path += ellipse(x + width / 2, y, radius * squeeze, radius);
    });
  }
  return path;
}

/** The feed holes of a strip as one path. */
export function feedPath(strip: readonly PlacedColumn[]): string {
  const y = FIRST_TRACK_Y + FEED_TRACK * PITCH;
  let path = '';
  for (const { x, width } of strip) {
    path += ellipse(x + width / 2, y, FEED_RADIUS * (width / COLUMN_WIDTH), FEED_RADIUS);
  }
  return path;
}
