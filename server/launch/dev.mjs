import { spawn } from 'node:child_process';
import { join } from 'node:path';
import { root, toolScript } from './child.mjs';
import { prepare } from './prepare.mjs';

// `npm run dev`: the bundler watches, the server restarts on what it writes, and the pages come from the bundler's own
// server, which hands /api on. Arguments go to `serve`.
try {
  await prepare({ targets: ['server', 'web'] });
} catch (error) {
  console.error(`fiveunit: ${error.message}`);
  process.exit(1);
}

const main = join('dist', 'server', 'main.js');
const children = [
  [toolScript('vite'), 'build', 'server', '--watch', '--logLevel', 'warn'],
  ['--watch', '--watch-preserve-output', main, 'serve', '--demo', ...process.argv.slice(2)],
  [toolScript('vite'), 'web'],
].map((args) => spawn(process.execPath, args, { cwd: root, stdio: ['ignore', 'inherit', 'inherit'] }));

const stop = () => {
  for (const child of children) child.kill();
};
process.on('SIGINT', stop);
process.on('SIGTERM', stop);
for (const child of children) child.on('exit', stop);
