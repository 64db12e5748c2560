import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { root, run } from './child.mjs';
import { prepare } from './prepare.mjs';

// `npm run bench [-- --only NAME]`: runs tests/bench/*.bench.ts one after the other, each in a process of its own, so
// that none inherits another's heap or compiled code.
const suffix = '.bench.ts';
const folder = join(root, 'tests', 'bench');
const names = readdirSync(folder)
  .filter((file) => file.endsWith(suffix))
  .map((file) => file.slice(0, -suffix.length))
  .sort();

try {
  const { values } = parseArgs({ options: { only: { type: 'string', multiple: true } } });
  const unknown = values.only?.find((name) => !names.includes(name));
  if (unknown !== undefined) throw new Error(`no bench is called ${unknown}; there are: ${names.join(', ')}`);

  await prepare({ targets: ['server'] });
  for (const name of values.only ?? names) {
    console.log(`\n${name}`);
    const code = await run(process.execPath, [
      '--expose-gc',
      join(root, 'server', 'launch', 'bench-one.mjs'),
      join(folder, name + suffix),
    ]);
    if (code !== 0) process.exitCode = 1;
  }
} catch (error) {
  console.error(`bench: ${error.message}`);
  process.exitCode = 2;
}
