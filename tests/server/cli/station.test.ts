import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { runCommandLine } from '../../../server/cli/program.ts';
import { hashKey } from '../../../server/keys/secrets.ts';
import { openDataStore } from '../../../server/store/sqlite/open.ts';
import { testApp } from '../support/app.ts';
import { temporaryDirectory } from '../support/directory.ts';
import { testIo } from './test-io.ts';

async function station(...args: string[]) {
  const { io, out, err } = testIo();
  return { code: await runCommandLine(['station', ...args], io), out: out(), err: err() };
}

describe('station', () => {
  test('add prints a key that opens the server, alone on standard output', async () => {
    const data = join(await temporaryDirectory(), 'data');
    const { code, out, err } = await station('add', 'q1lark', '--data', data);
    expect(code).toBe(0);
    expect(out).toMatch(/^[\w-]{43}\n$/);
    expect(err).toContain('Q1LARK');
    const store = openDataStore(data);
    expect((await store.stationByKeyHash(hashKey(out.trim())))?.callSign).toBe('Q1LARK');
    await store.close();
  });

  test('works beside a running server, which knows of it at once', async () => {
    const { dataDir, services } = await testApp();
    const { out } = await station('add', 'Q1LARK', '--data', dataDir);
    expect(await services.store.stationByKeyHash(hashKey(out.trim()))).not.toBeNull();
    expect((await station('revoke', 'Q1LARK', '--data', dataDir)).code).toBe(0);
    expect(await services.store.stationByKeyHash(hashKey(out.trim()))).toBeNull();
  });

  test('list shows who has a key and who had one', async () => {
    const data = await temporaryDirectory();
    await station('add', 'Q1LARK', '--data', data);
    await station('add', 'Q2WREN/P', '--data', data);
    await station('revoke', 'Q1LARK', '--data', data);
    const { code, out } = await station('list', '--data', data);
    expect(code).toBe(0);
    expect(out).toMatch(/^Q1LARK +revoked /m);
    expect(out).toMatch(/^Q2WREN\/P +valid +added /m);
  });

  test('says when there is nothing to list or to revoke', async () => {
    const data = await temporaryDirectory();
    expect(await station('list', '--data', data)).toMatchObject({ code: 1, out: '' });
    const { code, err } = await station('revoke', 'Q1LARK', '--data', data);
    expect(code).toBe(1);
    expect(err).toMatch(/Q1LARK has no key/);
  });

  test('refuses what is no call sign, and a folder that is not there', async () => {
    const data = await temporaryDirectory();
    expect(await station('add', '<b>Q1</b>', '--data', data)).toMatchObject({
      code: 2,
      err: expect.stringMatching(/is no call sign/),
    });
    expect(await station('list', '--data', join(data, 'none'))).toMatchObject({
      code: 2,
      err: expect.stringMatching(/no such folder/),
    });
  });
});
