import { existsSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

/** Directory of the package, from the source tree as well as from what was built of it. */
export function packageRoot(from: string = dirname(fileURLToPath(import.meta.url))): string {
  if (existsSync(join(from, 'package.json'))) return from;
  const above = dirname(from);
  if (above === from) throw new Error('package.json was not found above the program');
  return packageRoot(above);
}

export function packageVersion(): string {
  const { version }: { version?: unknown } = JSON.parse(readFileSync(join(packageRoot(), 'package.json'), 'utf8'));
  return String(version);
}
