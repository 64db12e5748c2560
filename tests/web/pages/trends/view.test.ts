// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { queryText } from '../../../../web/address/address.ts';
import { readView, type TrendsView, viewQuery, windowOf } from '../../../../web/pages/trends/view.ts';

const read = (text: string): TrendsView => readView(new URLSearchParams(text));

describe('a view of the trends in the address', () => {
  it('is the usual one when nothing is said', () => {
    expect(read('')).toEqual({ parameters: [], range: { last: '3d' }, doubtful: false, point: null });
    expect(queryText(viewQuery(read('')))).toBe('');
  });

  it.each<TrendsView>([
    { parameters: ['battery_voltage', 'mode'], range: { last: '2w' }, doubtful: true, point: null },
    {
      parameters: ['battery_voltage'],
      range: { fromMs: Date.UTC(2031, 4, 4), toMs: Date.UTC(2031, 4, 5) },
      doubtful: false,
      point: { parameter: 'battery_voltage', frame: 'f12' },
    },
  ])('comes back as it was sent: %o', (view) => {
    expect(read(queryText(viewQuery(view)))).toEqual(view);
  });

  it.each([
    'range=forever',
    'from=soon&to=later',
    'from=2031-05-05T00:00:00Z&to=2031-05-04T00:00:00Z',
    'range=toString',
  ])('falls back to the usual range for %s', (text) => {
    expect(read(text).range).toEqual({ last: '3d' });
  });

  it('makes nothing of half a point', () => {
    expect(read('point=battery_voltage').point).toBeNull();
    expect(read('point=@f1').point).toBeNull();
  });

  it('ends just after now when the last days are asked for', () => {
    const nowMs = Date.UTC(2031, 4, 4, 12);
    const { fromMs, toMs } = windowOf({ last: '1d' }, nowMs);
    expect(fromMs).toBe(nowMs - 86_400_000);
    expect(toMs).toBeGreaterThan(nowMs);
    expect(toMs).toBeLessThan(nowMs + 3_600_000);
  });
});
