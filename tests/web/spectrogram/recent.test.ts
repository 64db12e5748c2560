// @vitest-environment node
import { expect, it } from 'vitest';
import { Recent } from '../../../web/spectrogram/recent.ts';

it('what was not used for longest goes first', () => {
  const recent = new Recent<number>(2);
  recent.set('a', 1);
  recent.set('b', 2);
  expect(recent.get('a')).toBe(1);
  recent.set('c', 3);
  expect([recent.get('a'), recent.get('b'), recent.get('c')]).toEqual([1, undefined, 3]);
  recent.delete('a');
  expect([...recent.values()]).toEqual([3]);
});
