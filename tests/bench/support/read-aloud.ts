import { spawnSync } from 'node:child_process';
import { Random } from '../../../decoders/simulate/random.ts';
import { resample } from '../../../decoders/simulate/resample.ts';
import type { MaterialOptions, Source } from '../../../decoders/simulate/source.ts';

const PROGRAM = 'espeak-ng';
const LANGUAGES = ['en', 'es', 'de', 'fr', 'it', 'pl', 'fi', 'tr', 'sw', 'id', 'hu', 'pt'];
const VARIANTS = ['', '+m3', '+m7', '+f2', '+f4', '+croak', '+whisper'];
const SYLLABLES = 'ba ke li mo nu ra se ti vo du an el is or ta pen gri sto fal mir'.split(' ');
/** The program writes WAV of this rate, its header so long. */
const PROGRAM_RATE_HZ = 22_050;
const HEADER_BYTES = 44;
const PEAK = 0.5;

/** Whether this machine has a program that reads aloud. */
export function canReadAloud(): boolean {
  return spawnSync(PROGRAM, ['--version']).status === 0;
}

/** Words without a meaning, read aloud by one voice after another: twelve languages, each by seven voices. */
export function readAloud({ sampleRateHz, seed, gain = 1 }: MaterialOptions): Source {
  const random = new Random(seed).branch('read aloud');
  let spoken = new Float32Array(0);
  let at = 0;
  return {
    fill(block) {
      for (let done = 0; done < block.length; ) {
        if (at === spoken.length) {
          spoken = paragraph(random, sampleRateHz, PEAK * gain);
          at = 0;
        }
        const count = Math.min(block.length - done, spoken.length - at);
        block.set(spoken.subarray(at, at + count), done);
        done += count;
        at += count;
      }
    },
  };
}

function paragraph(random: Random, sampleRateHz: number, peak: number): Float32Array<ArrayBuffer> {
  const sentences = Array.from({ length: 2 + random.integer(5) }, () => sentence(random)).join(' ');
  const voice = random.pick(LANGUAGES) + random.pick(VARIANTS);
  const wordsPerMinute = String(100 + random.integer(120));
  const pitch = String(20 + random.integer(70));
  const { stdout, status } = spawnSync(
    PROGRAM,
    ['-v', voice, '-s', wordsPerMinute, '-p', pitch, '--stdout', sentences],
    {
      maxBuffer: 64 * 1024 * 1024,
    },
  );
  const samples = new Float32Array(Math.max(1, (stdout.length - HEADER_BYTES) >> 1));
  if (status !== 0 || samples.length < PROGRAM_RATE_HZ)
    throw new Error(`${PROGRAM} said nothing with the voice ${voice}`);
  for (let i = 0; i < samples.length; i++) samples[i] = stdout.readInt16LE(HEADER_BYTES + 2 * i);
  const most = samples.reduce((sum, x) => Math.max(sum, Math.abs(x)), 1);
  for (let i = 0; i < samples.length; i++) samples[i] *= peak / most;
  return new Float32Array(resample(samples, PROGRAM_RATE_HZ, sampleRateHz));
}

function sentence(random: Random): string {
  const word = () => Array.from({ length: 1 + random.integer(3) }, () => random.pick(SYLLABLES)).join('');
  return `${Array.from({ length: 4 + random.integer(9) }, word).join(' ')}${random.pick(['.', '.', '?', '!'])}`;
}
