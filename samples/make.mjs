import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { prepare } from '../server/launch/prepare.mjs';

// Makes the recordings of this folder again: `node samples/make.mjs`. Seeds and moments are fixed, so nothing changes
// unless the simulator or the invented satellite does. The expected results beside them are written by hand.
await prepare({ targets: ['server'] });
const { runCommandLine } = await import('../dist/server/cli/program.js');
const { processIo } = await import('../dist/server/cli/io.js');
const { demoTransmissions } = await import('../dist/server/demo/history.js');
const { speech, take } = await import('../dist/decoders/simulate/index.js');
const { encodeWav } = await import('../dist/decoders/audio/index.js');

const folder = import.meta.dirname;
const scratch = mkdtempSync(join(tmpdir(), 'fiveunit-samples-'));
const sampleRateHz = 8000;
const moment = Date.parse('2026-11-25T10:00:00Z');
const sent = [...demoTransmissions(moment)].reverse();

/** The frames that the satellite sent so many minutes before the moment, as a file for `simulate --values`. */
function values(...minutesAgo) {
  const path = join(scratch, `values-${minutesAgo.join('-')}.json`);
  writeFileSync(
    path,
    JSON.stringify(minutesAgo.map((minutes) => sent[minutes]).map(({ frame, values }) => ({ frame, values }))),
  );
  return path;
}

/** Somebody talks. */
function talk() {
  const path = join(scratch, 'talk.wav');
  const samples = take(speech({ sampleRateHz, seed: 77 }), 20 * sampleRateHz);
  writeFileSync(path, encodeWav(samples, { sampleRateHz, format: 'float32' }));
  return path;
}

async function simulate(name, ...args) {
  const out = join(folder, name);
  console.log(name);
  const code = await runCommandLine(['simulate', '--out', out, ...args], processIo());
  if (code !== 0) throw new Error(`${name} could not be made`);
  return out;
}

const dunlin = ['--mission', join(folder, 'dunlin-1.json')];

await simulate('dunlin-power.wav', ...dunlin, '--values', values(16), '--eb-n0', '16', '--seed', '11');

await simulate(
  'dunlin-weak.wav',
  ...[...dunlin, '--values', values(14), '--eb-n0', '8', '--seed', '12', '--margin', '6'],
  ...['--speech', talk(), '--speech-level', '12'],
);

await simulate(
  'dunlin-three.wav',
  ...[...dunlin, '--values', values(13, 12, 11), '--interval', '18', '--eb-n0', '12', '--seed', '13'],
  ...['--drift', '1.5', '--clock-ppm', '80'],
);

// A recorder that was switched off in the middle: the header promises more than there is.
const cut = await simulate('dunlin-cut.wav', ...dunlin, '--values', values(9), '--eb-n0', '14', '--seed', '14');
const bytes = readFileSync(cut);
writeFileSync(cut, bytes.subarray(0, Math.round(bytes.length * 0.62)));

await simulate(
  'plain-text.wav',
  ...['--text', 'DE Q9SEA Q9SEA. THE REEF IS CALM TODAY, WIND 12 KNOTS, WATER 19 DEGREES. ALL WELL.'],
  ...['--mark', '2295', '--space', '2125', '--baud', '75', '--stop', '1', '--eb-n0', '13', '--seed', '15'],
);

rmSync(scratch, { recursive: true });
