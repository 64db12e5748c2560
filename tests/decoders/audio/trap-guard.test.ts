import { expect, it } from 'vitest';
import { guardTraps } from '../../../decoders/audio/trap-guard.ts';

it('does not call again what has trapped, nor free it', () => {
  const calls: number[] = [];
  let freed = 0;
  const { run, free } = guardTraps(
    (x: number) => {
      calls.push(x);
      if (x === 2) throw new WebAssembly.RuntimeError('memory access out of bounds');
      return 10 * x;
    },
    () => freed++,
  );
  expect([run(1), run(2), run(3)]).toEqual([10, null, null]);
  expect(calls).toEqual([1, 2]);
  free();
  expect(freed).toBe(0);
});

it('frees once, and nothing is called after that', () => {
  let freed = 0;
  const { run, free } = guardTraps(
    (x: number) => x,
    () => freed++,
  );
  free();
  free();
  expect(freed).toBe(1);
  expect(run(1)).toBeNull();
});
