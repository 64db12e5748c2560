// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { chartSeries, nearestPoint, pointsWithin } from '../../../web/charts/points.ts';
import { series } from '../support/scene.ts';

const ys = (line: readonly { y: number | null }[]): (number | null)[] => line.map(({ y }) => y);

describe('the line of a series', () => {
  it('is whole through one pass', () => {
    expect(ys(chartSeries(series([7, 7.1, 7.2])).line)).toEqual([7, 7.1, 7.2]);
  });

  it('has a null where nothing was heard between two passes', () => {
    const passes = series([7, 7.1, 7.2, 8, 8.1], { times: [0, 60, 120, 5700, 5760] });
    expect(ys(chartSeries(passes).line)).toEqual([7, 7.1, 7.2, null, 8, 8.1]);
  });

  it('does not bridge an orbit even when every pass gives one reading', () => {
    const sparse = series([7, 7.1, 7.2], { stepSeconds: 5700 });
    expect(ys(chartSeries(sparse).line)).toEqual([7, null, 7.1, null, 7.2]);
  });

  it('joins what the server thinned', () => {
    const thinned = series([7, 8, 7, 8], { stepSeconds: 43_200, bucketSeconds: 86_400 });
    expect(ys(chartSeries(thinned).line)).toEqual([7, 8, 7, 8]);
    expect(chartSeries(thinned).thinned).toBe(true);
  });

  it('never runs through doubtful or unvouched readings, which stay points', () => {
    const mixed = chartSeries(
      series([7, 99, 7.1, 55, 7.2], {
        trust: ['confirmed', 'doubtful', 'probable', 'confirmed', 'confirmed'],
        vouched: [true, true, true, false, true],
      }),
    );
    expect(ys(mixed.line)).toEqual([7, 7.1, 7.2]);
    expect(mixed.points.map(({ y }) => y)).toEqual([7, 99, 7.1, 55, 7.2]);
  });

  it('leaves out what has no value', () => {
    expect(chartSeries(series([7, null, 7.2])).points).toHaveLength(2);
  });
});

describe('states and texts', () => {
  it('stand in rows, without a line', () => {
    const modes = chartSeries(series(['NOM', 'SAFE', 'NOM'], { unit: null }));
    expect(modes.rows).toEqual(['NOM', 'SAFE']);
    expect(modes.points.map(({ y }) => y)).toEqual([0, 1, 0]);
    expect(modes.line).toEqual([]);
  });
});

describe('finding points', () => {
  const { points } = chartSeries(series([1, 2, 3, 4]));
  const start = points[0]?.atMs ?? 0;

  it('takes the nearest in time', () => {
    expect(nearestPoint(points, start + 89_000)?.y).toBe(2);
    expect(nearestPoint(points, start + 91_000)?.y).toBe(3);
    expect(nearestPoint(points, start - 1e9)?.y).toBe(1);
    expect(nearestPoint(points, start + 1e9)?.y).toBe(4);
    expect(nearestPoint([], start)).toBeNull();
  });

  it('takes those within a stretch, its ends included', () => {
    expect(pointsWithin(points, start + 60_000, start + 120_000).map(({ y }) => y)).toEqual([2, 3]);
  });
});
