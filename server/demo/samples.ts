import { existsSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';

/** The folder `samples/`, from the sources as from what is built of them. */
export function samplesFolder(): string {
  for (let folder = import.meta.dirname; ; folder = dirname(folder)) {
    const samples = join(folder, 'samples');
    if (existsSync(join(folder, 'package.json')) && existsSync(samples)) return samples;
    if (folder === dirname(folder)) throw new Error('the folder samples/ is missing: the installation is not whole');
  }
}

export async function sampleDefinition(name: string): Promise<unknown> {
  return JSON.parse(await readFile(join(samplesFolder(), `${name}.json`), 'utf8'));
}
