import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { runCommandLine } from '../../../server/cli/program.ts';
import { temporaryDirectory } from '../support/directory.ts';
import { testIo } from './test-io.ts';

const sample = fileURLToPath(new URL('../../../samples/dunlin-1.json', import.meta.url));

async function check(...args: string[]) {
  const { io, out, err } = testIo();
  return { code: await runCommandLine(['check', ...args], io), out: out(), err: err() };
}

async function changed(change: (definition: Record<string, unknown>) => void): Promise<string> {
  const definition = JSON.parse(await readFile(sample, 'utf8'));
  change(definition);
  const path = join(await temporaryDirectory(), 'mission.json');
  await writeFile(path, JSON.stringify(definition));
  return path;
}

describe('check', () => {
  test('of a right definition tells samples, lengths and ranges', async () => {
    const { code, out, err } = await check(sample);
    expect(code).toBe(0);
    expect(err).toBe('');
    expect(out).toContain('frame power: 52 characters, 59 codes, 9.7 s on the air');
    expect(out).toContain('  Q0DUN P 00042 7921 -0130 412 388 000 000 11 NOM B72E');
    expect(out).toMatch(/battery_voltage +Battery voltage +0 to 9\.999 V +in steps of 0\.001 V +in power/);
  });

  test('gives the same as JSON', async () => {
    const report = JSON.parse((await check(sample, '--format', 'json')).out);
    expect(report).toMatchObject({ file: sample, mission: 'dunlin-1', faults: [] });
    expect(report.frames.map(({ id }: { id: string }) => id)).toEqual(['power', 'thermal', 'housekeeping']);
    expect(report.parameters[1]).toMatchObject({ id: 'battery_voltage', unit: 'V', range: { low: 0, high: 9.999 } });
  });

  test('lists every fault with its place, and says on standard error that there are some', async () => {
    const path = await changed((definition) => {
      definition.antenna = 'long';
      definition.name = 7;
    });
    const { code, out, err } = await check(path);
    expect(code).toBe(2);
    expect(out).toMatch(/antenna: found .*, expected .*\[unknown-key\]/);
    expect(out).toMatch(/name: found 7, expected /);
    expect(err).toBe(`fiveunit: ${path}: 2 faults in this definition\n`);
    const { faults, mission } = JSON.parse((await check(path, '--format', 'json')).out);
    expect(mission).toBeNull();
    expect(faults.map(({ path: place }: { path: string }) => place).sort()).toEqual(['antenna', 'name']);
  });

  test('says of what is no JSON where it stops being JSON', async () => {
    const path = join(await temporaryDirectory(), 'mission.json');
    await writeFile(path, '{\n  "fiveunit": 1,\n  oops\n}');
    const { code, out } = await check(path);
    expect(code).toBe(2);
    expect(out).toMatch(/line 3/);
    expect(out).toMatch(/not-json/);
  });

  test('of a missing file it says so', async () => {
    expect(await check('nowhere/mission.json')).toEqual({
      code: 2,
      out: '',
      err: 'fiveunit: nowhere/mission.json: there is no such file\n',
    });
  });
});
