import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

export interface RunningServer {
  readonly url: string;
  stop(): Promise<void>;
}

/** Starts the built server with the demonstration on a free port, with data of its own. */
export async function startServer(): Promise<RunningServer> {
  const data = mkdtempSync(join(tmpdir(), 'fiveunit-walk-'));
  const main = join(process.cwd(), 'dist', 'server', 'main.js');
  const child = spawn(process.execPath, [main, 'serve', '--port', '0', '--data', data, '--demo'], {
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  return {
    url: await addressOf(child),
    async stop() {
      if (child.exitCode === null && child.signalCode === null) {
        const ended = once(child, 'exit');
        child.kill('SIGTERM');
        await ended;
      }
      rmSync(data, { recursive: true, force: true });
    },
  };
}

/** The address that the server says it is at; what it said otherwise, when it ended before. */
function addressOf({ stdout, stderr, ...child }: ChildProcess): Promise<string> {
  return new Promise((resolve, reject) => {
    let said = '';
    stdout?.on('data', (bytes) => {
      said += bytes;
      const url = /http:\/\/\S+/.exec(said)?.[0];
      if (url !== undefined) resolve(url);
    });
    stderr?.on('data', (bytes) => {
      said += bytes;
    });
    stdout?.on('end', () => reject(new Error(`the server did not start${child.pid === undefined ? '' : `: ${said}`}`)));
  });
}
