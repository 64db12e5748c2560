import { spawnSync } from 'node:child_process';
import { chmod, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { AudioProblem } from '../../../decoders/audio/types.ts';
import { type FfmpegLimits, soundByFfmpeg } from '../../../server/audio/ffmpeg.ts';
import { temporaryDirectory } from '../support/directory.ts';

const M4A = { demuxer: 'mov', name: 'MPEG-4 (M4A, 3GP or video)' };
const GENEROUS: FfmpegLimits = { processorSeconds: 30, wallSeconds: 50, memoryBytes: 2 ** 32, outputBytes: 2 ** 20 };

/** A program that takes ffmpeg's place; its arguments stand in `$*`. */
async function fake(script: string): Promise<string> {
  const program = join(await temporaryDirectory(), 'ffmpeg');
  await writeFile(program, `#!/bin/sh\n${script}\n`);
  await chmod(program, 0o755);
  return program;
}

async function run(script: string, input = ['the ', 'file'], limits: Partial<FfmpegLimits> = {}) {
  const problems: AudioProblem[] = [];
  const sound = soundByFfmpeg(
    M4A,
    input.map((text) => Buffer.from(text)),
    {
      program: await fake(script),
      limits: { ...GENEROUS, ...limits },
      onProblem: (problem) => problems.push(problem),
    },
  );
  const pieces: Buffer[] = [];
  for await (const piece of sound) pieces.push(Buffer.from(piece));
  return { output: Buffer.concat(pieces).toString('latin1'), problems };
}

const code = (expected: string, message = /./) =>
  expect.objectContaining({ name: 'AudioError', code: expected, message: expect.stringMatching(message) });

describe.skipIf(process.platform === 'win32')('soundByFfmpeg', () => {
  it('hands the bytes over and gives what comes out', async () => {
    expect(await run('printf "heard: "; cat')).toEqual({ output: 'heard: the file', problems: [] });
  });

  it('copies pieces whose memory is used again', async () => {
    const piece = Buffer.alloc(100_000);
    function* pieces() {
      for (let i = 0; i < 10; i++) yield piece.fill(48 + i);
    }
    let output = '';
    for await (const out of soundByFfmpeg(M4A, pieces(), { program: await fake('sleep 0.2; cat'), limits: GENEROUS })) {
      output += Buffer.from(out).toString('latin1');
    }
    expect(output.replace(/(.)\1+/g, '$1')).toBe('0123456789');
    expect(output).toHaveLength(1_000_000);
  });

  it('allows pipes alone, the demuxer of the content, and known decoders', async () => {
    const { output } = await run('cat > /dev/null; echo "$*"');
    expect(output).toMatch(/-protocol_whitelist pipe .*-codec_whitelist \S+ -f mov -i pipe:0 .*-f wav pipe:1\n$/);
    expect(output).toMatch(/-t 86400 /);
    expect(output.match(/-i /g)).toHaveLength(1);
    expect(output).not.toMatch(/h264|http|file:/);
  });

  it('tells it nothing of where it runs, and lets it write no file', async () => {
    const { output } = await run('cat > /dev/null; env | cut -d= -f1 | sort | tr "\\n" " "; pwd');
    expect(output.replace(/\b(PWD|OLDPWD|SHLVL|_) /g, '')).toBe('PATH /\n');
    const written = await run(
      'cat > /dev/null; trap "" XFSZ; echo secret > "$0.txt"; printf "%200s" "$(cat "$0.txt")"',
    );
    expect(written.output.trim()).toBe('');
  });

  it('names a missing ffmpeg and what to do', async () => {
    const sound = soundByFfmpeg(M4A, [], { program: 'no-such-program', limits: GENEROUS });
    await expect(sound.next()).rejects.toThrow(code('unread-container', /M4A.*Install ffmpeg.*WAV/));
  });

  it('says why it refuses a file', async () => {
    const refused = run('cat > /dev/null; printf "moov atom\\n not\\033[31m found" >&2; exit 1');
    await expect(refused).rejects.toThrow(code('ffmpeg-refused', /moov atom not \[31m found/));
    const noSound = run('cat > /dev/null; printf header; echo "[mov @ 0x55] partial file" >&2');
    await expect(noSound).rejects.toThrow(code('ffmpeg-refused', /\(partial file\)/));
    await expect(run('exit 1')).rejects.toThrow(code('ffmpeg-refused', /does not say why/));
  });

  it('keeps what was read of a damaged file, and says so', async () => {
    const { output, problems } = await run('cat > /dev/null; printf "%200s" sound; echo "truncated" >&2; exit 1');
    expect(output.trim()).toBe('sound');
    expect(problems).toEqual([{ code: 'damaged', message: expect.stringContaining('truncated'), atSeconds: null }]);
  });

  it('stops what takes too long', async () => {
    await expect(run('exec sleep 1000', [], { wallSeconds: 0.3 })).rejects.toThrow(
      code('ffmpeg-overrun', /longer than/),
    );
  });

  it('stops what takes too much of the processor', async () => {
    await expect(run('while :; do :; done', [], { processorSeconds: 1 })).rejects.toThrow(
      code('ffmpeg-overrun', /processor/),
    );
  });

  it('stops what gives too much', async () => {
    await expect(run('exec yes', [], { outputBytes: 100_000 })).rejects.toThrow(code('ffmpeg-overrun', /longer than/));
  });

  it('bounds its memory', async () => {
    const { output } = await run('cat > /dev/null; ulimit -v', [], { memoryBytes: 2 ** 30 });
    expect(['1048576\n', 'unlimited\n']).toContain(output);
    if (process.platform === 'linux') expect(output).toBe('1048576\n');
  });

  it('leaves nothing running when no more is wanted', async () => {
    const sound = soundByFfmpeg(M4A, [], { program: await fake('echo $$; exec sleep 1000'), limits: GENEROUS });
    const { value } = await sound.next();
    const pid = Number(Buffer.from(value ?? []).toString());
    expect(pid).toBeGreaterThan(1);
    await sound.return(undefined);
    await expect.poll(() => spawnSync('kill', ['-0', String(pid)]).status, { timeout: 20_000 }).not.toBe(0);
  });

  it('passes on a fault of the one who hands the bytes over', async () => {
    async function* failing() {
      yield Buffer.from('x');
      throw new RangeError('the disk broke');
    }
    const sound = soundByFfmpeg(M4A, failing(), { program: await fake('cat > /dev/null'), limits: GENEROUS });
    await expect(sound.next()).rejects.toThrow('the disk broke');
  });
});
