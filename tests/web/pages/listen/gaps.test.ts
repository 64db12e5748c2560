import { expect, test } from 'vitest';
import { afterInterruption, type Gap, withGap } from '../../../../web/pages/listen/gaps.ts';

test('an interruption lasts until the input is back', () => {
  const open = afterInterruption([], true, 1000);
  expect(open).toEqual([{ fromMs: 1000, toMs: null }]);
  expect(afterInterruption(open, true, 2000)).toBe(open);
  expect(afterInterruption(open, false, 3000)).toEqual([{ fromMs: 1000, toMs: 3000 }]);
  expect(afterInterruption([], false, 3000)).toEqual([]);
});

test('what the system spoke of already does not count again', () => {
  const gaps = [{ fromMs: 1000, toMs: 3000 }];
  expect(withGap(gaps, 1100, 3100)).toBe(gaps);
  expect(withGap([{ fromMs: 1000, toMs: null }], 1100, 3100)).toHaveLength(1);
  expect(withGap(gaps, 5000, 6000)).toEqual([...gaps, { fromMs: 5000, toMs: 6000 }]);
});

test('the last ones of a long night are kept', () => {
  let gaps: readonly Gap[] = [];
  for (let n = 0; n < 1000; n++) gaps = withGap(gaps, 10 * n, 10 * n + 5);
  for (let n = 1000; n < 2000; n++) {
    gaps = afterInterruption(gaps, true, 10 * n);
    gaps = afterInterruption(gaps, false, 10 * n + 5);
  }
  expect(gaps.length).toBeLessThanOrEqual(20);
  expect(gaps.at(-1)).toEqual({ fromMs: 19_990, toMs: 19_995 });
});
