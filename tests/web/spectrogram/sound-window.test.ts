// @vitest-environment node
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  lengthOf,
  panned,
  SHORTEST_SECONDS,
  type SoundWindow,
  secondTicks,
  showing,
  zoomed,
} from '../../../web/spectrogram/sound-window.ts';

const whole: SoundWindow = { fromSeconds: 10, toSeconds: 110 };
const window: SoundWindow = { fromSeconds: 30, toSeconds: 50 };

describe('a window on sound', () => {
  it('moves and zooms', () => {
    expect(panned(window, 0.5, whole)).toEqual({ fromSeconds: 40, toSeconds: 60 });
    expect(zoomed(window, 0.5, 0, whole)).toEqual({ fromSeconds: 30, toSeconds: 40 });
    expect(zoomed(window, 2, 0.5, whole)).toEqual({ fromSeconds: 20, toSeconds: 60 });
  });

  it('never leaves the sound, and never is shorter than a character', () => {
    const share = fc.double({ min: -50, max: 50, noNaN: true });
    const factor = fc.double({ min: 1e-4, max: 1e4, noNaN: true });
    fc.assert(
      fc.property(share, factor, fc.double({ min: 0, max: 1, noNaN: true }), (by, times, place) => {
        for (const next of [panned(window, by, whole), zoomed(panned(window, by, whole), times, place, whole)]) {
          expect(next.fromSeconds).toBeGreaterThanOrEqual(whole.fromSeconds);
          expect(next.toSeconds).toBeLessThanOrEqual(whole.toSeconds + 1e-9);
          expect(lengthOf(next)).toBeGreaterThanOrEqual(SHORTEST_SECONDS - 1e-9);
        }
      }),
    );
  });

  it('of sound shorter than that is all of it', () => {
    const click = { fromSeconds: 3, toSeconds: 3.1 };
    expect(zoomed(click, 0.5, 0.5, click)).toEqual(click);
  });

  it('moves only when a moment is not in sight', () => {
    expect(showing(window, 45, whole)).toBe(window);
    expect(showing(window, 70, whole)).toEqual({ fromSeconds: 68, toSeconds: 88 });
    expect(showing(window, 109, whole)).toEqual({ fromSeconds: 90, toSeconds: 110 });
  });
});

describe('ticks', () => {
  it('stand at even seconds, no more than asked for', () => {
    expect(secondTicks({ fromSeconds: 1.2, toSeconds: 12.5 }, 12)).toEqual([2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12]);
    expect(secondTicks({ fromSeconds: 0, toSeconds: 28_800 }, 9)).toEqual([
      0, 3600, 7200, 10_800, 14_400, 18_000, 21_600, 25_200, 28_800,
    ]);
    expect(secondTicks({ fromSeconds: 5, toSeconds: 5.25 }, 4)).toEqual([5, 5.1, 5.2]);
  });
});
