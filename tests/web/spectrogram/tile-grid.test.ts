// @vitest-environment node
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  columnSeconds,
  isSampled,
  levelFor,
  TILE_COLUMNS,
  tileSeconds,
  tilesFor,
  tileWindow,
} from '../../../web/spectrogram/tile-grid.ts';

describe('the tiles of a spectrogram', () => {
  it('have columns no wider than a pixel, and no finer than half of one', () => {
    for (const secondsPerPixel of [0.004, 0.005, 0.0113, 0.3, 1.7, 26]) {
      const column = columnSeconds(levelFor(secondsPerPixel));
      expect(column).toBeLessThanOrEqual(secondsPerPixel);
      expect(column).toBeGreaterThan(secondsPerPixel / 2);
    }
    expect(levelFor(1e-5)).toBe(0);
  });

  it('cover what is shown of the sound without a gap, and are few whatever its length', () => {
    const whole = { fromSeconds: 0, toSeconds: 86_400 };
    const length = fc.double({ min: 0.25, max: 86_400, noNaN: true });
    fc.assert(
      fc.property(length, fc.double({ min: 0, max: 1, noNaN: true }), (seconds, place) => {
        const fromSeconds = place * (86_400 - seconds);
        const window = { fromSeconds, toSeconds: fromSeconds + seconds };
        const tiles = tilesFor(window, levelFor(seconds / 1200), whole);
        expect(tiles.length).toBeLessThanOrEqual((2 * 1200) / TILE_COLUMNS + 2);
        const windows = tiles.map(tileWindow);
        expect(windows[0]?.fromSeconds).toBeLessThanOrEqual(window.fromSeconds);
        expect(windows.at(-1)?.toSeconds).toBeGreaterThanOrEqual(window.toSeconds - 1e-6);
        windows.slice(1).forEach((next, i) => {
          expect(next.fromSeconds).toBeCloseTo(windows[i]?.toSeconds ?? Number.NaN, 6);
        });
      }),
    );
  });

  it('reach no further than the sound', () => {
    const tiles = tilesFor({ fromSeconds: 0, toSeconds: 100 }, 3, { fromSeconds: 20, toSeconds: 30 });
    expect(tiles.map(({ index }) => index)).toEqual([2, 3]);
  });

  it('need little sound each: long columns are sampled', () => {
    for (let level = 0; level <= 20; level++) {
      if (!isSampled(level)) expect(tileSeconds(level)).toBeLessThan(40);
    }
    expect(isSampled(levelFor((8 * 3600) / 1200))).toBe(true);
  });
});
