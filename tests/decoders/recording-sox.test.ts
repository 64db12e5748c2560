import { execFileSync, spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { encode } from '../../decoders/teletype/alphabets.ts';
import { elementsOf } from './support/soft.ts';
import { decodeBytes } from './support/wav.ts';

const hasSox = spawnSync('sox', ['--version']).status === 0;
if (!hasSox) console.warn('sox is not installed: recordings composed with it are not tested');

const TEXT = 'Q0DUN TEST 12345 -67.8 OK 90 RYRYRYRY';

/** A teletype burst put together from tone snippets by a general-purpose audio tool: the phase jumps at every change. */
function composed(baud: number, markHz: number, spaceHz: number, rate: number): Uint8Array {
  const folder = mkdtempSync(join(tmpdir(), 'fiveunit-'));
  try {
    const snippet = (name: string, seconds: number, hz: number) => {
      const file = join(folder, `${name}.wav`);
      const tone = ['synth', `${seconds}`, 'sine', `${hz}`, 'gain', '-9'];
      execFileSync('sox', ['-n', '-r', `${rate}`, '-b', '16', '-c', '1', file, ...tone]);
      return file;
    };
    const files = {
      mark: snippet('mark', 1 / baud, markHz),
      space: snippet('space', 1 / baud, spaceHz),
      half: snippet('half', 0.5 / baud, markHz),
      rest: snippet('rest', 1, markHz),
    };
    const keyed = encode(TEXT, 'ita2', { startShift: 'unknown' }).flatMap((code) => [
      ...elementsOf(code).map((mark) => (mark === 1 ? files.mark : files.space)),
      files.half,
    ]);
    const out = join(folder, 'out.wav');
    execFileSync('sox', [files.rest, ...keyed, files.rest, out, 'pad', '2', '3']);
    return readFileSync(out);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

test.skipIf(!hasSox).each([
  [50, 1275, 1445, 48_000],
  [100, 2295, 2125, 22_050],
  [45.4545, 1615, 1785, 8000],
])('reads what sox composed: %d Bd, mark %d Hz, space %d Hz, %d Hz', (baud, markHz, spaceHz, rate) => {
  const { bursts } = decodeBytes(composed(baud, markHz, spaceHz, rate));
  expect(bursts.map(({ burst }) => burst.text)).toEqual([TEXT]);
  expect(bursts[0].burst.reversed).toBe(markHz > spaceHz);
});
