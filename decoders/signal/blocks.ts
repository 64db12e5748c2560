import type { CellRows } from './kernel/kernel.ts';
import { BINS, HOP } from './spectrogram.ts';
import { addWhitened, createNeighbourhood, leaveOut, NOISE_CELL } from './whitening.ts';

/** Frames summed to one block (0.192 s), and blocks kept. */
export const BLOCK_FRAMES = 12;
export const BLOCK_SAMPLES = BLOCK_FRAMES * HOP;
export const BLOCKS_KEPT = 64;
/** Cells of noise before and behind each row, for tones that drift out of it: more than any drift and lobe takes. */
export const ROW_MARGIN = 12;
export const ROW = BINS + 2 * ROW_MARGIN;

/** A line this strong in nearly all of so many blocks (17 s) is a carrier or a hum, not a burst. */
const LINE_CELL = 1.6;
const LINE_BLOCKS = 90;
/** A block without the line takes back so many with it; a line is over when it has lost a third. */
const LINE_LOSS = 3;

/** Two ways to whiten: slow keying makes narrow lobes, fast keying wide ones that must not darken themselves. */
export type Width = 'narrow' | 'wide';

/** Mean whitened cells of the last blocks, `BINS` a block with a margin about them, block b in row b mod `BLOCKS_KEPT`. */
export interface BlockRing {
  readonly narrow: CellRows;
  readonly wide: CellRows;
  /** 1 where a line has stood too long to be a burst. */
  readonly lines: Uint8Array;
  /** Complete blocks since the beginning. */
  blocks: number;
}

export interface BlockBuilder {
  readonly ring: BlockRing;
  /** Takes one frame's power; true when it completed a block. */
  add(power: Float32Array): boolean;
  /** Says that the lobes about these bins are keyed: they are no persistent lines however long they stand. */
  spare(fromBin: number, toBin: number): void;
}

export function createBlockBuilder(): BlockBuilder {
  const ring: BlockRing = {
    narrow: noiseRows(),
    wide: noiseRows(),
    lines: new Uint8Array(BINS),
    blocks: 0,
  };
  const near = createNeighbourhood(12);
  const far = createNeighbourhood(27);
  const nearSums = new Float32Array(BINS);
  const farSums = new Float32Array(BINS);
  const standing = new Uint16Array(BINS);
  let frames = 0;

  function watchLines(): void {
    let changed = false;
    for (let k = 0; k < BINS; k++) {
      const strong = nearSums[k] > LINE_CELL * BLOCK_FRAMES;
      standing[k] = strong ? Math.min(LINE_BLOCKS, standing[k] + 1) : Math.max(0, standing[k] - LINE_LOSS);
      const line = standing[k] >= (ring.lines[k] === 1 ? (LINE_BLOCKS * 2) / 3 : LINE_BLOCKS) ? 1 : 0;
      if (line !== ring.lines[k]) changed = true;
      ring.lines[k] = line;
    }
    if (!changed) return;
    leaveOut(near, ring.lines);
    leaveOut(far, ring.lines);
  }

  return {
    ring,
    add(power) {
      addWhitened(power, ring.lines, near, nearSums);
      addWhitened(power, ring.lines, far, farSums);
      frames++;
      if (frames < BLOCK_FRAMES) return false;
      const row = placeOfRow(ring.blocks);
      for (let k = 0; k < BINS; k++) {
        ring.narrow.cells[row + k] = nearSums[k] / BLOCK_FRAMES;
        ring.wide.cells[row + k] = farSums[k] / BLOCK_FRAMES;
      }
      watchLines();
      nearSums.fill(0);
      farSums.fill(0);
      frames = 0;
      ring.blocks++;
      return true;
    },
    spare(fromBin, toBin) {
      for (let k = Math.max(0, fromBin); k <= Math.min(BINS - 1, toBin); k++) standing[k] = 0;
    },
  };
}

function noiseRows(): CellRows {
  return { cells: new Float32Array(BLOCKS_KEPT * ROW).fill(NOISE_CELL), count: BLOCKS_KEPT, margin: ROW_MARGIN };
}

/** Where the first bin of a block lies, in the past of the stream too. */
export function placeOfRow(block: number): number {
  return (((block % BLOCKS_KEPT) + BLOCKS_KEPT) % BLOCKS_KEPT) * ROW + ROW_MARGIN;
}
