import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { extname, join } from 'node:path';

const BELOW = '/some/where/';
const TYPES: Readonly<Record<string, string>> = {
  '.html': 'text/html',
  '.js': 'text/javascript',
  '.css': 'text/css',
  '.svg': 'image/svg+xml',
};

/** Runs `npm run build:pages` with these arguments. */
export async function buildPages(...args: string[]): Promise<{ code: number; said: string }> {
  const script = join(process.cwd(), 'server', 'launch', 'build-pages.mjs');
  const child = spawn(process.execPath, [script, ...args], { stdio: ['ignore', 'ignore', 'pipe'] });
  let said = '';
  child.stderr.on('data', (bytes) => {
    said += bytes;
  });
  const [code] = await once(child, 'close');
  return { code, said };
}

export interface BuiltSite {
  readonly url: string;
  /** Paths that were asked for and are not of the site. */
  readonly strayPaths: readonly string[];
  /** Ends the host; what was built stays until `remove`. */
  stop(): Promise<void>;
  remove(): Promise<void>;
}

/** Builds a site and serves it as plainly as a web host can: files below a path, and nothing else. */
export async function startSite(...args: string[]): Promise<BuiltSite> {
  const folder = mkdtempSync(join(tmpdir(), 'fiveunit-site-'));
  const { code, said } = await buildPages(...args, '--out', folder);
  if (code !== 0) throw new Error(said);
  const strayPaths: string[] = [];
  const host = createServer((request, response) => {
    const path = new URL(request.url ?? '', 'http://here').pathname;
    if (!path.startsWith(BELOW) || path.includes('/api/')) strayPaths.push(path);
    try {
      if (!path.startsWith(BELOW)) throw new Error('not here');
      const name = path.slice(BELOW.length) || 'index.html';
      const body = readFileSync(join(folder, name));
      response.writeHead(200, { 'content-type': TYPES[extname(name)] ?? 'application/octet-stream' }).end(body);
    } catch {
      response.writeHead(404).end();
    }
  }).listen(0, '127.0.0.1');
  await once(host, 'listening');
  const stop = async (): Promise<void> => {
    if (!host.listening) return;
    host.close();
    host.closeAllConnections();
    await once(host, 'close');
  };
  return {
    url: `http://127.0.0.1:${(host.address() as AddressInfo).port}${BELOW}`,
    strayPaths,
    stop,
    async remove() {
      await stop();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
