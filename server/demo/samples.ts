import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { packageRoot } from '../package-root.ts';

export function samplePath(file: string): string {
  return join(packageRoot(), 'samples', file);
}

/** The definition of a sample mission, not checked yet. */
export async function sampleDefinition(mission: string): Promise<unknown> {
  return JSON.parse(await readFile(samplePath(`${mission}.json`), 'utf8'));
}
