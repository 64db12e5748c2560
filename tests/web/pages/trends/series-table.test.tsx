import { describe, expect, it, vi } from 'vitest';
import { chartSeries } from '../../../../web/charts/points.ts';
import { SeriesTable, tabSeparated } from '../../../../web/pages/trends/series-table.tsx';
import { click, show, textOf } from '../../support/render.ts';
import { NOW_MS, series } from '../../support/scene.ts';

const made = chartSeries(series([7, 7.1, 7.2], { trust: ['confirmed', 'probable', 'confirmed'] }));
const window = { fromMs: NOW_MS - 2 * 86_400_000, toMs: NOW_MS };

async function open(root: HTMLElement): Promise<void> {
  const details = root.querySelector('details');
  if (details === null) throw new Error('no table');
  details.open = true;
  details.dispatchEvent(new Event('toggle'));
  await click(document.body);
}

describe('the table behind a chart', () => {
  it('says how many readings it holds before it is opened', async () => {
    const root = await show(<SeriesTable series={made} window={window} onChoose={() => {}} />);
    expect(textOf(root.querySelector('summary'))).toBe('3 readings as a table, Battery voltage');
    expect(root.querySelector('table')).toBeNull();
  });

  it('holds what the chart shows, newest first, and leads to the origin', async () => {
    const onChoose = vi.fn();
    const root = await show(<SeriesTable series={made} window={window} onChoose={onChoose} />);
    await open(root);
    const rows = [...root.querySelectorAll('tbody tr')].map((row) => [...row.children].map(textOf));
    expect(rows[0]?.slice(0, 3)).toEqual(['3 May 2031, 09:14:00 UTC', '7.20 V', 'confirmed']);
    expect(rows).toHaveLength(3);
    await click(root.querySelector('tbody button'));
    expect(onChoose).toHaveBeenCalledWith('f3');
  });

  it('leaves out what is outside the window', async () => {
    const empty = { fromMs: NOW_MS, toMs: NOW_MS + 1000 };
    const root = await show(<SeriesTable series={made} window={empty} onChoose={() => {}} />);
    expect(textOf(root)).toContain('no readings');
  });

  it('copies as spreadsheets take it', () => {
    expect(tabSeparated(made, made.points).split('\n').slice(0, 2)).toEqual([
      'time\tBattery voltage (V)\ttrust\tvouched\tlimit\tframe',
      '2031-05-03T09:12:00.000Z\t7\tconfirmed\tyes\tnormal\tf1',
    ]);
  });
});
