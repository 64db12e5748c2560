import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { expect, test } from 'vitest';
import { SIMD_MODULE } from '../../../decoders/signal/kernel/simd-module.ts';

test('the kernel in the repository is what its sources make', async () => {
  const launcher = pathToFileURL(join(import.meta.dirname, '../../../server/launch/kernel.mjs')).href;
  const { compileKernel, isKernelCurrent } = await import(/* @vite-ignore */ launcher);
  expect(isKernelCurrent()).toBe(true);
  expect([...(await compileKernel())]).toEqual([...SIMD_MODULE]);
});
