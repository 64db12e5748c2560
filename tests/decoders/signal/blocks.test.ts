import { describe, expect, test } from 'vitest';
import { BLOCK_FRAMES, createBlockBuilder } from '../../../decoders/signal/blocks.ts';
import { BINS } from '../../../decoders/signal/spectrogram.ts';
import { NOISE_CELL } from '../../../decoders/signal/whitening.ts';
import { Random } from '../../../decoders/simulate/random.ts';

const LINE_BIN = 40;

/** Feeds blocks of noise, in which a line stands where `isOn` says, and returns the builder's ring. */
function feed(blocks: number, isOn: (block: number) => boolean, spareEvery = 0) {
  const builder = createBlockBuilder();
  const random = new Random(6);
  const power = new Float32Array(BINS);
  const lineStates: boolean[] = [];
  for (let block = 0; block < blocks; block++) {
    for (let frame = 0; frame < BLOCK_FRAMES; frame++) {
      for (let k = 0; k < BINS; k++) power[k] = -Math.log(1 - random.uniform());
      if (isOn(block)) power[LINE_BIN] += 30;
      expect(builder.add(power)).toBe(frame === BLOCK_FRAMES - 1);
    }
    if (spareEvery > 0 && block % spareEvery === 0) builder.spare(LINE_BIN - 2, LINE_BIN + 2);
    lineStates.push(builder.ring.lines[LINE_BIN] === 1);
  }
  return { ring: builder.ring, lineStates };
}

describe('a line', () => {
  test('that stands for 17 s (90 blocks) is persistent, and no other is', () => {
    const { ring, lineStates } = feed(100, () => true);
    expect(lineStates.indexOf(true)).toBe(89);
    expect(ring.lines.reduce((sum, each) => sum + each, 0)).toBe(1);
  });

  test('stays so through short fades, and is over when it is gone', () => {
    const { lineStates } = feed(280, (block) => block < 240 && block % 12 !== 11);
    const first = lineStates.indexOf(true);
    expect(first).toBeGreaterThan(0);
    expect(first).toBeLessThan(200);
    expect(lineStates.slice(first, 240)).not.toContain(false);
    expect(lineStates[279]).toBe(false);
  });

  test('that comes and goes by turns is none', () => {
    expect(feed(200, (block) => block % 2 === 0).lineStates).not.toContain(true);
  });

  test('that is spared because it is keyed is none, however long it stands', () => {
    expect(feed(200, () => true, 30).lineStates).not.toContain(true);
  });
});

test('blocks that were not yet are plain noise, and blocks of noise are about that', () => {
  const { narrow, wide } = createBlockBuilder().ring;
  for (const { cells } of [narrow, wide]) expect(cells.every((cell) => Math.abs(cell - NOISE_CELL) < 1e-6)).toBe(true);
  const { ring } = feed(64, () => false);
  for (const { cells } of [ring.narrow, ring.wide]) {
    expect(Math.abs(cells.reduce((sum, cell) => sum + cell, 0) / cells.length - NOISE_CELL)).toBeLessThan(0.015);
  }
});
