import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { packageRoot, packageVersion } from '../../server/package-root.ts';
import { temporaryDirectory } from './support/directory.ts';

test('the package is found from the source tree and from what was built', () => {
  const root = packageRoot();
  const { name, version } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'));
  expect(name).toBe('fiveunit');
  expect(packageVersion()).toBe(version);
  expect(packageRoot(join(root, 'dist', 'server', 'http'))).toBe(root);
});

test('without a package above it the program says so', async () => {
  const outside = await temporaryDirectory();
  expect(() => packageRoot(outside)).toThrow(/package.json was not found/);
});
