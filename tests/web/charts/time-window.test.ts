// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { momentAt, pan, zoom } from '../../../web/charts/time-window.ts';

const HOUR = 3_600_000;
const window = { fromMs: 0, toMs: 4 * HOUR };

describe('the stretch of time that is shown', () => {
  it('is moved by a share of its length', () => {
    expect(pan(window, 0.5)).toEqual({ fromMs: 2 * HOUR, toMs: 6 * HOUR });
    expect(pan(window, -0.25)).toEqual({ fromMs: -HOUR, toMs: 3 * HOUR });
  });

  it('is zoomed around the place under the pointer, which stays', () => {
    const near = zoom(window, 0.5, 0.25);
    expect(momentAt(near, 0.25)).toBe(momentAt(window, 0.25));
    expect(near.toMs - near.fromMs).toBe(2 * HOUR);
  });

  it('is never shorter than a minute nor longer than a mission', () => {
    const close = zoom(window, 1e-9);
    expect(close.toMs - close.fromMs).toBe(60_000);
    const far = zoom(window, 1e12);
    expect(far.toMs - far.fromMs).toBeLessThan(60 * 366 * 24 * HOUR);
  });
});
