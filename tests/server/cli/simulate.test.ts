import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { runCommandLine } from '../../../server/cli/program.ts';
import { temporaryDirectory } from '../support/directory.ts';
import { testIo } from './test-io.ts';

const sample = (name: string) => fileURLToPath(new URL(`../../../samples/${name}`, import.meta.url));
const mission = sample('dunlin-1.json');

async function run(...args: string[]) {
  const { io, out, err } = testIo();
  return { code: await runCommandLine(args, io), out: out(), err: err() };
}

async function simulated(...args: string[]) {
  const path = join(await temporaryDirectory(), 'made.wav');
  return { path, ...(await run('simulate', '--out', path, ...args)) };
}

async function sameBytes(a: string, b: string): Promise<boolean> {
  return (await readFile(a)).equals(await readFile(b));
}

async function textsIn(path: string): Promise<string[]> {
  const { out } = await run('decode', path, '--format', 'ndjson');
  return out
    .trimEnd()
    .split('\n')
    .map((line) => JSON.parse(line))
    .flatMap(({ type, text }) => (type === 'burst' ? [text.trim()] : []));
}

describe('simulate', () => {
  test('sends given values, says what it sent, and marks the file as simulated', async () => {
    const values = join(await temporaryDirectory(), 'values.json');
    await writeFile(
      values,
      JSON.stringify([
        { frame: 'thermal', values: { count: 7, battery_adc: 2143, body_dc: -31, panel_dc: 5, transmitter_dc: 245 } },
      ]),
    );
    const { code, out, err, path } = await simulated('--mission', mission, '--values', values, '--eb-n0', '18');
    expect({ code, err }).toEqual({ code: 0, err: '' });
    expect(out).toMatch(/^Q0DUN T 00007 2143 -031 005 245 [0-9A-F]{4}\n$/);
    expect(await textsIn(path)).toEqual([out.trim()]);
    expect((await readFile(path)).subarray(0, 2000).toString('latin1')).toMatch(/simulated/i);
  });

  test('sends the examples of the definition when nothing else is said', async () => {
    const { out } = await simulated('--mission', mission, '--interval', '15');
    const { examples } = JSON.parse(await readFile(mission, 'utf8'));
    expect(out.trimEnd().split('\n')).toEqual(examples.map(({ text }: { text: string }) => text));
  });

  test('random values are the same for the same seed, and of the wanted kinds', async () => {
    const args = ['--mission', mission, '--frame', 'thermal', '--count', '2'];
    const first = await simulated(...args, '--random', '5');
    const again = await simulated(...args, '--random', '5');
    const other = await simulated(...args, '--random', '6');
    expect(first.out).toMatch(/^Q0DUN T [^\n]+\nQ0DUN T [^\n]+\n$/);
    expect(again.out).toBe(first.out);
    expect(await sameBytes(again.path, first.path)).toBe(true);
    expect(other.out).not.toBe(first.out);
  });

  test('sends a text without any mission, in tones of one’s own', async () => {
    const keying = ['--mark', '2295', '--space', '2125', '--baud', '75', '--stop', '1'];
    const { path } = await simulated('--text', 'THE REEF IS CALM TODAY, ALL WELL', ...keying, '--eb-n0', '20');
    expect(await textsIn(path)).toEqual(['THE REEF IS CALM TODAY, ALL WELL']);
  });

  test('writes into the file when it began', async () => {
    const { path } = await simulated('--text', 'ABC', '--start', '2027-03-01T18:40:00Z');
    const { out } = await run('decode', path, '--format', 'ndjson');
    expect(Date.parse(JSON.parse(out.split('\n')[0]).startedAt)).toBe(Date.parse('2027-03-01T18:40:00Z'));
  });

  test.each([
    [['--fading', 'selective', '--fading-spread', '1', '--rician-k', '6'], 'selective Rician (K 6 dB) fading of 1 Hz'],
    [['--imbalance', '3'], 'mark over space 3 dB'],
    [
      ['--fm-cnr', '45', '--fm-if', '9000', '--fading', 'flat'],
      'FM C/N0 45 dB-Hz, IF 9000 Hz, deviation 3000 Hz, drift 0 Hz/s, clock 0 ppm, flat Rayleigh fading of 0.2 Hz',
    ],
  ])('puts %j on the channel, and says so in the file', async (args, comment) => {
    const plain = await simulated('--text', 'RYRY');
    const faulty = await simulated('--text', 'RYRY', ...args);
    expect({ code: faulty.code, err: faulty.err }).toEqual({ code: 0, err: '' });
    expect((await readFile(faulty.path)).subarray(0, 2000).toString('latin1')).toContain(comment);
    // The header differs anyway: the end of the burst and the two seconds after it.
    const samples = async (path: string) => (await readFile(path)).subarray(-16_000 * 3);
    expect((await samples(faulty.path)).equals(await samples(plain.path))).toBe(false);
  });

  test('mixes a recording in', async () => {
    const plain = await simulated('--text', 'ABC');
    const mixed = await simulated('--text', 'ABC', '--speech', sample('plain-text.wav'));
    expect(mixed.code).toBe(0);
    expect(await sameBytes(mixed.path, plain.path)).toBe(false);
  });

  test.each([
    [[], /give --mission FILE, or --text/],
    [
      ['--mission', mission, '--random', '1', '--frame', 'nope'],
      /no frame "nope"; it has power, thermal, housekeeping/,
    ],
    [['--mission', mission, '--values', mission], /dunlin-1\.json: a list such as/],
    [['--mission', mission, '--random', '1', '--values', mission], /cannot be used with/],
    [['--text', 'lower case'], /no character of the ita2 alphabet/],
    [['--text', 'ABC', '--fading', 'fast'], /Allowed choices are flat, selective/],
    [['--text', 'ABC', '--fading', 'flat', '--fading-spread', '500'], /spread is 500 Hz; it may be/],
    [['--text', 'ABC', '--rician-k', '6'], /--rician-k 6 does nothing alone/],
    [['--text', 'ABC', '--fm-cnr', '40', '--eb-n0', '7'], /Eb\/N0 \(7 dB\) and an FM link are both given/],
    [['--text', 'ABC', '--fm-cnr', '40', '--fading', 'selective'], /ask for flat fading/],
    [['--text', 'ABC', '--speech', mission], /dunlin-1\.json: .*no recording/],
  ])('%j is refused with a reason, and writes nothing', async (args, reason) => {
    const { code, out, err, path } = await simulated(...args);
    expect(code).toBe(2);
    expect(out).toBe('');
    expect(err).toMatch(reason);
    expect(err).toMatch(/^fiveunit: [^\n]+\n$/);
    await expect(readFile(path)).rejects.toThrow('ENOENT');
  });
});

describe('simulate --iq', () => {
  const text = 'Q0DUN P 12345 67890 ABCDE FGHIJ';
  const burstIn = async (path: string, ...args: string[]) => {
    const { out, err } = await run('decode', path, '--format', 'ndjson', ...args);
    expect(err).toBe('');
    const records = out
      .trimEnd()
      .split('\n')
      .map((line) => JSON.parse(line));
    return { recording: records[0], burst: records[1] };
  };

  test('writes a SigMF pair whose carrier is found where it was put', async () => {
    const out = join(await temporaryDirectory(), 'x.sigmf-meta');
    const band = ['--iq', 'fsk', '--carrier', '145903000', '--centre', '145900000', '--rate', '16000'];
    const { code, err } = await run('simulate', '--out', out, '--text', text, '--eb-n0', '20', ...band);
    expect({ code, err }).toEqual({ code: 0, err: '' });
    const { recording, burst } = await burstIn(out, '--tuning', 'fixed', '--reference-ppm', '0.5');
    expect(recording).toMatchObject({
      encoding: 'sigmf ci16_le',
      simulated: true,
      iq: { captures: [{ centerHz: 145_900_000 }], tuning: { mode: 'fixed', referenceErrorPpm: 0.5 } },
    });
    expect(burst.text.trim()).toBe(text);
    expect(burst.modulation).toBe('fsk');
    expect(Math.abs(burst.carrierHz - 3000)).toBeLessThan(1);
    expect(Math.abs(burst.carrierAbsoluteHz - 145_903_000)).toBeLessThan(1);
  });

  test('writes a WAV file of an FM carrier in a pass', async () => {
    const { path, code } = await simulated(
      '--text',
      text,
      '--iq',
      'fm',
      '--fm-cnr',
      '45',
      '--pass-height',
      '500',
      '--rate',
      '20000',
    );
    expect(code).toBe(0);
    const { burst } = await burstIn(path, '--iq', '145900000');
    expect(burst.text.trim()).toBe(text);
    expect(burst.modulation).toBe('fm');
    // Closest at the burst's start: drift of 52.3 Hz/s there, by the closed form of tests/reference/doppler.json.
    expect(Math.abs(burst.carrierDriftHzPerSecond + 52.3)).toBeLessThan(3);
  });

  test('says which options do not go together', async () => {
    const cases: readonly (readonly string[])[] = [
      ['--centre', '1e8'],
      ['--iq', 'fsk', '--fm-cnr', '40'],
      ['--iq', 'fm', '--eb-n0', '10'],
      ['--iq', 'fsk', '--fading', 'flat'],
      ['--iq', 'fsk', '--pass-elevation', '20'],
    ];
    for (const args of cases) {
      const { code, err } = await simulated('--text', text, ...args);
      expect([args, code]).toEqual([args, 2]);
      expect(err).toContain(args.at(-2));
    }
    const pair = join(await temporaryDirectory(), 'x.sigmf-data');
    expect((await run('simulate', '--out', pair, '--text', text)).err).toContain('--iq');
  });
});
