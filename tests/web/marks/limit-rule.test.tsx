import { describe, expect, it } from 'vitest';
import { LimitRule } from '../../../web/marks/limit-rule.tsx';
import { show } from '../support/render.ts';

const percent = (element: Element | null | undefined, name: string): number =>
  Number.parseFloat(element?.getAttribute(name) ?? 'NaN');

describe('a reading against its limits', () => {
  it('stands between the bounds it lies between, and says them', async () => {
    const root = await show(<LimitRule value={7.5} soft={[7, 8.3]} hard={[6.6, 8.45]} unit="V" />);
    const soft = root.querySelector('.soft');
    const pointer = percent(root.querySelector('.pointer'), 'x');
    expect(pointer).toBeGreaterThan(percent(soft, 'x1'));
    expect(pointer).toBeLessThan(percent(soft, 'x2'));
    expect(root.querySelector('svg')?.getAttribute('aria-label')?.replaceAll('\u202f', ' ')).toBe(
      'soft limits 7 to 8.3 V, hard limits 6.6 to 8.45 V',
    );
  });

  it('stays within its width however far outside a reading is', async () => {
    const root = await show(<LimitRule value={900} soft={[7, 8.3]} hard={null} unit="V" />);
    const pointer = percent(root.querySelector('.pointer'), 'x');
    expect(pointer).toBeGreaterThan(percent(root.querySelector('.soft'), 'x2'));
    expect(pointer).toBeLessThan(100);
  });

  it('draws an open range from zero', async () => {
    const root = await show(<LimitRule value={310} soft={[null, 620]} hard={null} unit="mA" />);
    expect(percent(root.querySelector('.pointer'), 'x')).toBeCloseTo(50, 0);
  });

  it('is nothing without limits', async () => {
    expect((await show(<LimitRule value={1} soft={null} hard={[null, null]} unit="V" />)).innerHTML).toBe('');
  });
});
