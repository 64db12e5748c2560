// @vitest-environment node
import { describe, expect, it } from 'vitest';
import {
  LEFT_ROOM,
  type MarkedBurst,
  NAMES_HEIGHT,
  namesOf,
  outlineOf,
  PLOT_HEIGHT,
  placesIn,
} from '../../../web/spectrogram/layout.ts';
import { TOP_HZ } from '../../../web/spectrogram/spectra.ts';

const burst = (index: number, startSeconds: number, change: Partial<MarkedBurst> = {}): MarkedBurst => ({
  index,
  startSeconds,
  endSeconds: startSeconds + 10,
  markHz: 1275,
  spaceHz: 1445,
  driftHzPerSecond: 0,
  ...change,
});
const places = placesIn({ fromSeconds: 0, toSeconds: 100 }, 1000 + LEFT_ROOM);

describe('the places of a spectrogram', () => {
  it('have time to the right and frequency up', () => {
    expect(places.x(0)).toBe(LEFT_ROOM);
    expect(places.x(100)).toBe(1000 + LEFT_ROOM);
    expect(places.secondsAt(places.x(42))).toBeCloseTo(42);
    expect(places.y(0)).toBe(NAMES_HEIGHT + PLOT_HEIGHT);
    expect(places.y(TOP_HZ)).toBe(NAMES_HEIGHT);
  });
});

describe('the outline of a burst', () => {
  const corners = (one: MarkedBurst): number[][] =>
    outlineOf(one, places)
      .split(' ')
      .map((corner) => corner.split(',').map(Number));

  it('holds its tones from its start to its end', () => {
    const [upperLeft, upperRight, lowerRight] = corners(burst(0, 20));
    expect(upperLeft?.[0]).toBeCloseTo(places.x(20), 0);
    expect(upperRight?.[0]).toBeCloseTo(places.x(30), 0);
    expect(upperLeft?.[1]).toBeLessThan(places.y(1445));
    expect(lowerRight?.[1]).toBeGreaterThan(places.y(1275));
  });

  it('leans as the burst drifts', () => {
    const [upperLeft, upperRight] = corners(burst(0, 20, { driftHzPerSecond: 20 }));
    expect((upperLeft?.[1] ?? 0) - (upperRight?.[1] ?? 0)).toBeCloseTo(places.y(0) - places.y(200), 0);
  });
});

describe('the names of bursts', () => {
  it('stand where they begin, those in sight only, none upon another', () => {
    const names = namesOf(
      [burst(0, -30), burst(1, -5), burst(2, 20), burst(3, 21), burst(4, 60)],
      places,
      1000 + LEFT_ROOM,
    );
    expect(names.map(({ text }) => text)).toEqual(['Burst 2', 'Burst 3', 'Burst 5']);
    expect(names[0]?.x).toBe(LEFT_ROOM);
    expect(names[2]?.x).toBe(places.x(60));
  });
});
