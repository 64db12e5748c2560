import { spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdir, readFile, writeFile } from 'node:fs/promises';
import { availableParallelism } from 'node:os';
import { join, relative } from 'node:path';
import { text } from 'node:stream/consumers';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { describe, expect, test } from 'vitest';
import { encodeWav } from '../../../decoders/audio/index.ts';
import { runCommandLine } from '../../../server/cli/program.ts';
import { temporaryDirectory } from '../support/directory.ts';
import { testIo } from './test-io.ts';

const sample = (name: string) => fileURLToPath(new URL(`../../../samples/${name}`, import.meta.url));
const recording = sample('dunlin-power.wav');
const mission = sample('dunlin-1.json');
const line = 'Q0DUN P 54024 8225 -0002 000 000 427 191 15 NOM C90A';

async function decode(args: readonly string[], input?: Uint8Array) {
  const { io, out, err } = testIo(input === undefined ? {} : { input });
  return { code: await runCommandLine(['decode', ...args], io), out: out(), err: err() };
}

async function file(name: string, content: string | Uint8Array): Promise<string> {
  const path = join(await temporaryDirectory(), name);
  await writeFile(path, content);
  return path;
}

const wav = (samples: Float32Array, format: 'pcm16' | 'float32' = 'pcm16') =>
  encodeWav(samples, { sampleRateHz: 8000, format });

const objects = (out: string) =>
  out
    .trimEnd()
    .split('\n')
    .map((each) => JSON.parse(each));

describe('decode', () => {
  test('without a mission prints the text', async () => {
    const { code, out, err } = await decode([recording]);
    expect(code).toBe(0);
    expect(err).toBe('');
    expect(out.split('\n').filter((each) => each !== '' && !each.startsWith('#'))).toEqual([line]);
  });

  test('with a mission prints recording, bursts, frames and readings, one object a line', async () => {
    const { code, out } = await decode([recording, '--mission', mission, '--format', 'ndjson']);
    expect(code).toBe(0);
    const [first, burst, frame, ...others] = objects(out);
    expect(others).toEqual([]);
    const sha256 = createHash('sha256')
      .update(await readFile(recording))
      .digest('hex');
    expect(first).toMatchObject({
      type: 'recording',
      file: recording,
      sha256,
      sampleRate: 8000,
      channels: 1,
      startedAt: null,
      simulated: true,
      problems: [],
    });
    expect(first.seconds).toBeCloseTo(14.2, 1);
    expect(burst).toMatchObject({ type: 'burst', reversed: false, stopElements: 1.5, text: line });
    for (const key of ['startSeconds', 'endSeconds', 'baud', 'markHz', 'spaceHz', 'driftHzPerSecond', 'ebN0Db']) {
      expect(burst[key]).toBeTypeOf('number');
    }
    expect(frame).toMatchObject({
      type: 'frame',
      mission: 'dunlin-1',
      frame: 'power',
      receivedAt: null,
      text: line,
      complete: true,
      checksum: 'pass',
      trust: 'confirmed',
    });
    expect(frame.fields.battery_mv).toEqual({ raw: 8225, confidence: expect.any(Number) });
    expect(frame.readings).toContainEqual({
      parameter: 'battery_voltage',
      value: 8.225,
      unit: 'V',
      trust: 'confirmed',
      confidence: expect.any(Number),
      limit: 'normal',
      notes: [],
    });
  });

  test('dates frames from the start of the recording', async () => {
    const args = [recording, '--mission', mission, '--format', 'ndjson', '--start', '2027-03-01T19:40:00+01:00'];
    const [first, , frame] = objects((await decode(args)).out);
    expect(first.startedAt).toBe('2027-03-01T18:40:00.000Z');
    expect(Date.parse(frame.receivedAt)).toBe(Date.parse(first.startedAt) + Math.round(frame.startSeconds * 1000));
  });

  test('takes the start from the file when it says one', async () => {
    const samples = new Float32Array(8000);
    const startedAt = '2027-03-01T18:40:00Z';
    const path = await file('dated.wav', encodeWav(samples, { sampleRateHz: 8000, format: 'pcm16', startedAt }));
    const [first] = objects((await decode([path, '--format', 'ndjson'])).out);
    expect(Date.parse(first.startedAt)).toBe(Date.parse(startedAt));
  });

  test('takes it from the name, and says where it had to assume the zone', async () => {
    const path = await file('pass_20240301_184000.wav', await readFile(recording));
    const args = [path, '--mission', mission, '--format', 'ndjson'];
    const { out, err, code } = await decode(args);
    const [first, , frame] = objects(out);
    expect(code).toBe(0);
    expect(first).toMatchObject({
      startedAt: '2024-03-01T18:40:00.000Z',
      startedAtSource: 'file name',
      timeAccuracySeconds: 14 * 3600,
      problems: [{ code: 'time-zone-assumed' }],
    });
    expect(err).toMatch(/pass_20240301_184000\.wav: The file name names no time zone; UTC was taken\./);
    expect(frame).toMatchObject({ receivedAtSource: 'file name', receivedAtUncertaintySeconds: 14 * 3600 });
    expect(Date.parse(frame.receivedAt)).toBe(Date.parse(first.startedAt) + Math.round(frame.startSeconds * 1000));
  });

  test('takes the zone and the offset that are declared', async () => {
    const path = await file('pass_20240301_184000.wav', wav(new Float32Array(8000)));
    const { out, err } = await decode([path, '--format', 'ndjson', '--zone', '+02:00', '--offset', '-30min']);
    expect(objects(out)[0]).toMatchObject({
      startedAt: '2024-03-01T16:10:00.000Z',
      startedAtSource: 'file name, corrected',
      timeAccuracySeconds: 1,
      problems: [{ code: 'silent' }],
    });
    expect(err).not.toMatch(/zone/);
  });

  test('says when what is declared and the file contradict each other, or the clock', async () => {
    const path = await file('pass_20240301T184000Z.wav', wav(new Float32Array(8000)));
    const disagree = await decode([path, '--start', '2024-03-01T20:00:00Z']);
    expect(disagree.err).toMatch(
      /The command line says it began at 2024-03-01T20:00:00.000Z, which was taken; the file/,
    );
    const ahead = await decode([path, '--start', '2199-03-01T20:00:00Z', '--format', 'ndjson']);
    expect(objects(ahead.out)[0]).toMatchObject({ startedAt: '2199-03-01T20:00:00.000Z' });
    expect(ahead.err).toMatch(/end later than it is by this computer's clock/);
  });

  test('a time behind the samples dates the readings as one before them', async () => {
    const bytes = await readFile(recording);
    // A chunk is put behind the samples.
    const text = '2024-03-01T18:40:00Z\0\0';
    const size = Buffer.alloc(4);
    const list = Buffer.concat([Buffer.from('LIST'), size, Buffer.from('INFOICRD'), size, Buffer.from(text)]);
    list.writeUInt32LE(12 + text.length, 4);
    list.writeUInt32LE(text.length, 16);
    const behind = Buffer.concat([bytes, list]);
    behind.writeUInt32LE(behind.length - 8, 4);
    const args = ['--mission', mission, '--format', 'ndjson'];
    const [late, , lateFrame] = objects((await decode([await file('late.wav', behind), ...args])).out);
    const early = await decode([recording, ...args, '--start', '2024-03-01T18:40:00Z']);
    expect(late).toMatchObject({ startedAt: '2024-03-01T18:40:00.000Z', startedAtSource: 'LIST ICRD' });
    expect(lateFrame.receivedAtUncertaintySeconds).toBe(1);
    expect(lateFrame.readings).toEqual(objects(early.out)[2].readings);
  });

  test('the times of a recording with gaps are sure in its first minutes only', async () => {
    const samples = await readFile(recording);
    const pause = Buffer.alloc(2 * 8000 * 125);
    const at = samples.indexOf('data') + 8;
    const long = Buffer.concat([samples.subarray(0, at), pause, samples.subarray(at)]);
    long.writeUInt32LE(long.length - at, at - 4);
    const path = await file('skips_20240301T184000Z.wav', long);
    const { out } = await decode([path, '--mission', mission, '--format', 'ndjson', '--time-base', 'gaps']);
    const [first, , frame] = objects(out);
    expect(first.timeBase).toBe('gaps');
    expect(frame.startSeconds).toBeGreaterThan(125);
    expect(frame.receivedAtUncertaintySeconds).toBeGreaterThan(86_400);
  });

  test('reads standard input, and any name that leads to a recording', async () => {
    const bytes = await readFile(recording);
    expect(await decode(['-'], bytes)).toMatchObject({ code: 0, out: expect.stringContaining(line) });
    const odd = await file('notes.txt', bytes);
    expect(await decode([odd])).toMatchObject({ code: 0, out: expect.stringContaining(line) });
    const around = join(relative(process.cwd(), sample('')), '..', 'samples', 'dunlin-power.wav');
    expect(await decode([around])).toMatchObject({ code: 0, out: expect.stringContaining(line) });
  });

  test('writes csv to a file, and nothing else', async () => {
    const path = join(await temporaryDirectory(), 'readings.csv');
    const result = await decode([recording, '--mission', mission, '--format', 'csv', '--out', path]);
    expect(result).toEqual({ code: 0, out: '', err: '' });
    const lines = (await readFile(path, 'utf8')).trimEnd().split('\n');
    expect(lines[0]).toMatch(/^file,mission,frame,/);
    expect(lines).toHaveLength(15);
  });

  test('finds the frame of one of several missions', async () => {
    const missions = ['--mission', sample('plover-2.json'), '--mission', mission];
    const frames = objects((await decode([recording, ...missions, '--format', 'ndjson'])).out).filter(
      ({ type }) => type === 'frame',
    );
    expect(frames).toHaveLength(1);
    expect(frames[0].mission).toBe('dunlin-1');
  });

  test('says when a file holds no burst, or no frame', async () => {
    const silence = await file('silence.wav', wav(new Float32Array(80_000)));
    expect(await decode([silence])).toMatchObject({ code: 1, err: `fiveunit: ${silence}: no burst found\n` });
    const other = await decode([sample('plain-text.wav'), '--mission', mission]);
    expect(other.code).toBe(1);
    expect(other.out).toContain('THE REEF IS CALM TODAY');
    expect(other.err).toMatch(/plain-text\.wav: no frame of dunlin-1 found in the one burst\n$/);
  });
});

describe('bad input', () => {
  const header = wav(new Float32Array(8000));
  const zeroRate = Uint8Array.from(header);
  new DataView(zeroRate.buffer).setUint32(24, 0, true);

  test.each([
    ['empty.wav', new Uint8Array(0), /the file is empty/i],
    ['notes.wav', 'Dear diary, today I heard nothing.\n', /text, no recording/],
    ['picture.wav', Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10, 0, 0, 0, 0), /a PNG picture/],
    ['zero-rate.wav', zeroRate, /rate/],
    ['header-only.wav', header.subarray(0, 20), /./],
  ])('%s is refused with file and reason', async (name, content, reason) => {
    const path = await file(name, content);
    const { code, out, err } = await decode([path]);
    expect(code).toBe(2);
    expect(out).toBe('');
    expect(err).toMatch(/^fiveunit: [^\n]+\n$/);
    expect(err.startsWith(`fiveunit: ${path}: `)).toBe(true);
    expect(err).toMatch(reason);
  });

  test.each([
    ['all zeros', wav(new Float32Array(40_000))],
    ['all clipped', wav(Float32Array.from({ length: 40_000 }, (_, i) => (i % 7 < 4 ? 1 : -1)))],
    ['all at the top', wav(new Float32Array(40_000).fill(1))],
    ['not a number', wav(new Float32Array(40_000).fill(Number.NaN), 'float32')],
    ['beyond all bounds', wav(new Float32Array(40_000).fill(Number.POSITIVE_INFINITY), 'float32')],
  ])('samples that are %s hold nothing, and harm nothing', async (_name, content) => {
    const { code, err } = await decode([await file('samples.wav', content)]);
    expect(code).toBe(1);
    expect(err).toMatch(/no burst found/);
  });

  test('a recording cut short gives what it holds', async () => {
    const { code, out } = await decode([sample('dunlin-cut.wav'), '--mission', mission, '--format', 'ndjson']);
    expect(code).toBe(0);
    const [first, , frame] = objects(out);
    expect(first.problems[0].code).toBe('cut-short');
    expect(frame).toMatchObject({ complete: false, frame: 'housekeeping' });
  });

  test('one bad file among good ones is named; the good ones are read', async () => {
    const { code, out, err } = await decode(['missing.wav', recording]);
    expect(code).toBe(2);
    expect(err).toBe('fiveunit: missing.wav: there is no such file\n');
    expect(out).toContain(line);
  });

  test('a folder is no recording', async () => {
    const folder = await temporaryDirectory();
    await mkdir(join(folder, 'pass.wav'));
    const { code, err } = await decode([join(folder, 'pass.wav')]);
    expect(code).toBe(2);
    expect(err).toMatch(/this is a folder/);
  });

  test('a faulty definition names the place of its fault', async () => {
    const definition = { ...JSON.parse(await readFile(mission, 'utf8')), antenna: 'long' };
    const path = await file('dunlin.json', JSON.stringify(definition));
    const { code, out, err } = await decode([recording, '--mission', path]);
    expect(code).toBe(2);
    expect(out).toBe('');
    expect(err.startsWith(`fiveunit: ${path}: `)).toBe(true);
    expect(err).toMatch(/antenna/);
  });

  test('a definition given twice is refused', async () => {
    const { code, err } = await decode([recording, '--mission', mission, '--mission', mission]);
    expect(code).toBe(2);
    expect(err).toMatch(/dunlin-1 is given twice/);
  });
});

describe('several files', () => {
  const main = fileURLToPath(new URL('../../../dist/server/main.js', import.meta.url));
  const names = ['dunlin-power.wav', 'dunlin-1.json', 'plain-text.wav', 'dunlin-cut.wav'].map(sample);

  /** The program as it is built, in a process of its own: with threads where there are cores. */
  async function built(args: readonly string[], { input = new Uint8Array(), options = [] as string[] } = {}) {
    const child = spawn(process.execPath, [...options, main, 'decode', ...args]);
    const ended = new Promise<number | null>((done) => child.once('close', done));
    child.stdin.end(input);
    const [out, err] = await Promise.all([text(child.stdout), text(child.stderr)]);
    return { code: await ended, out, err };
  }

  test('give what they give one by one, a broken one among them', async () => {
    const options = ['--mission', mission, '--format', 'ndjson'];
    const alone: Awaited<ReturnType<typeof decode>>[] = [];
    for (const name of names) alone.push(await decode([name, ...options]));
    const together = await built([...names, ...options]);
    expect(alone.map(({ code }) => code)).toEqual([0, 2, 1, 0]);
    expect(together).toEqual({
      code: 2,
      out: alone.map(({ out }) => out).join(''),
      err: alone.map(({ err }) => err).join(''),
    });
  });

  test('may have standard input among them', async () => {
    const { code, out, err } = await built([names[2], '-', names[3]], { input: await readFile(recording) });
    expect({ code, err }).toEqual({ code: 0, err: '' });
    expect(out.match(/^# \S+: /gm)).toEqual([`# ${names[2]}: `, '# -: ', `# ${names[3]}: `]);
    expect(out).toContain(line);
  });

  test('use a thread each, as far as there are cores; one file uses none', async () => {
    const counter = await file(
      'counter.mjs',
      `import { isMainThread } from 'node:worker_threads';
      let threads = 0;
      process.on('worker', () => threads++);
      process.on('exit', () => isMainThread && console.error('threads: ' + threads));`,
    );
    const options = ['--import', pathToFileURL(counter).href];
    expect(await built([recording], { options })).toMatchObject({ code: 0, err: 'threads: 0\n' });
    const threads = Math.min(availableParallelism(), 2);
    const err = `threads: ${threads > 1 ? threads : 0}\n`;
    expect(await built([recording, recording], { options })).toMatchObject({ code: 0, err });
  });
});
