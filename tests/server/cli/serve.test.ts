import { once } from 'node:events';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { describe, expect, test } from 'vitest';
import { runCommandLine } from '../../../server/cli/program.ts';
import { temporaryDirectory } from '../support/directory.ts';
import { testIo } from './test-io.ts';

async function serve(...args: string[]) {
  const { io, out, err } = testIo();
  const data = await temporaryDirectory();
  return { code: await runCommandLine(['serve', '--data', data, ...args], io), out: out(), err: err() };
}

describe('serve', () => {
  test('of a port that is taken it says so, and what to do', async () => {
    const other = createServer().listen(0, '127.0.0.1');
    await once(other, 'listening');
    const { port } = other.address() as AddressInfo;
    const { code, out, err } = await serve('--port', String(port));
    other.close();
    expect(code).toBe(2);
    expect(out).toBe('');
    expect(err).toMatch(new RegExp(`^fiveunit: port ${port} .* in use[^\n]*--port[^\n]*\n$`));
  });

  test('lets other machines in only when told to', async () => {
    const { code, err } = await serve('--host', '0.0.0.0', '--port', '0');
    expect(code).toBe(2);
    expect(err).toMatch(/--open/);
  });
});
