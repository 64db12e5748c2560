// @vitest-environment node
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { timeTicks } from '../../../web/charts/time-ticks.ts';

const at = (text: string): number => Date.parse(`${text}Z`);

describe('ticks of a UTC time axis', () => {
  it('fall on whole hours of UTC, and name the day where it begins', () => {
    const ticks = timeTicks(at('2031-05-04T21:10:00'), at('2031-05-05T03:10:00'), 6);
    expect(ticks.map(({ label, under }) => [label, under])).toEqual([
      ['22:00', '4 May'],
      ['23:00', ''],
      ['00:00', '5 May'],
      ['01:00', ''],
      ['02:00', ''],
      ['03:00', ''],
    ]);
  });

  it('fall on midnights when days are shown, and on the first of months when years are', () => {
    const days = timeTicks(at('2031-05-01T06:00:00'), at('2031-05-08T06:00:00'), 8);
    expect(days.map(({ label }) => label)).toEqual(['2 May', '3 May', '4 May', '5 May', '6 May', '7 May', '8 May']);
    const months = timeTicks(at('2031-01-15T00:00:00'), at('2032-01-15T00:00:00'), 5);
    expect(months.map(({ label }) => label)).toEqual(['Apr 2031', 'Jul 2031', 'Oct 2031', 'Jan 2032']);
    expect(months.map(({ atMs }) => atMs)).toContain(at('2031-10-01T00:00:00'));
  });

  it('show seconds when minutes are looked at', () => {
    const ticks = timeTicks(at('2031-05-04T09:12:00'), at('2031-05-04T09:13:00'), 4);
    expect(ticks.map(({ label }) => label)).toEqual(['09:12:00', '09:12:15', '09:12:30', '09:12:45', '09:13:00']);
  });

  it('stay where they are while the axis is moved', () => {
    const length = 14 * 86_400_000;
    const before = timeTicks(at('2031-05-01T00:00:00'), at('2031-05-01T00:00:00') + length, 8);
    const after = timeTicks(at('2031-05-02T00:00:00'), at('2031-05-02T00:00:00') + length, 8);
    const shared = after.filter(({ atMs }) => atMs < at('2031-05-01T00:00:00') + length);
    expect(before.map(({ atMs }) => atMs)).toEqual(expect.arrayContaining(shared.map(({ atMs }) => atMs)));
  });

  it('lie within the axis, evenly or by months, and are not many more than asked for', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: Date.UTC(1990, 0), max: Date.UTC(2090, 0) }),
        fc.integer({ min: 60_000, max: 20 * 365 * 86_400_000 }),
        fc.integer({ min: 2, max: 20 }),
        (fromMs, length, most) => {
          const ticks = timeTicks(fromMs, fromMs + length, most);
          expect(ticks.length).toBeLessThanOrEqual(most + 1);
          for (const { atMs } of ticks) {
            expect(atMs).toBeGreaterThanOrEqual(fromMs);
            expect(atMs).toBeLessThanOrEqual(fromMs + length);
          }
        },
      ),
    );
  });

  it('are none on an axis without length', () => {
    expect(timeTicks(5, 5, 4)).toEqual([]);
    expect(timeTicks(9, 5, 4)).toEqual([]);
  });
});
