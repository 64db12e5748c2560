import { spawn } from 'node:child_process';
import { once } from 'node:events';
import type { Writable } from 'node:stream';
import { LONGEST_SECONDS } from '../../decoders/audio/length-limit.ts';
import type { PhoneContainer } from '../../decoders/audio/phone-container.ts';
import type { AudioProblem } from '../../decoders/audio/types.ts';
import { AudioError } from '../../decoders/errors.ts';

/** What one file may cost. */
export interface FfmpegLimits {
  readonly processorSeconds: number;
  readonly wallSeconds: number;
  readonly memoryBytes: number;
  readonly outputBytes: number;
}

const LIMITS: FfmpegLimits = {
  processorSeconds: 600,
  wallSeconds: 1800,
  memoryBytes: 2 ** 30,
  // Two channels of 48 kHz and 16 bits, and the header.
  outputBytes: LONGEST_SECONDS * 48_000 * 4 + 4096,
};

/** Decoders that phones' recordings need: the others stay out of reach of a file that asks for them. */
const DECODERS = [
  ...['aac', 'aac_latm', 'alac', 'amrnb', 'amrwb', 'libopencore_amrnb', 'libopencore_amrwb', 'mp2', 'mp2float', 'mp3'],
  ...['mp3float', 'opus', 'libopus', 'vorbis', 'flac', 'ac3', 'wmav1', 'wmav2', 'adpcm_ima_qt', 'adpcm_ms'],
  ...['pcm_s16le', 'pcm_s16be', 'pcm_s24le', 'pcm_s24be', 'pcm_s32le', 'pcm_f32le', 'pcm_u8', 'pcm_alaw', 'pcm_mulaw'],
].join(',');

/** Only what is asked for reaches it: the demuxer that the content calls for, and pipes. */
const argumentsFor = (demuxer: string): string[] => [
  ...['-nostdin', '-hide_banner', '-loglevel', 'error', '-threads', '1'],
  ...['-protocol_whitelist', 'pipe', '-codec_whitelist', DECODERS, '-f', demuxer, '-i', 'pipe:0'],
  ...['-map', '0:a:0', '-vn', '-sn', '-dn', '-map_metadata', '-1', '-t', String(LONGEST_SECONDS)],
  ...['-c:a', 'pcm_s16le', '-f', 'wav', 'pipe:1'],
];

/** Processor time in seconds, memory in KiB, no file to be written; then the program itself in the shell's place. */
const LIMITED = 'ulimit -t "$1"; ulimit -v "$2" 2>/dev/null; ulimit -f 0; shift 2; exec "$@"';
const NOT_FOUND = 127;
const MESSAGE_CHARACTERS = 200;
/** A WAV file without samples is no larger. */
const HEADER_BYTES = 128;

export interface FfmpegOptions {
  /** Told of what was wrong with a file of which something could be read. */
  readonly onProblem?: (problem: AudioProblem) => void;
  readonly limits?: FfmpegLimits;
  /** Name or path of the program; `FIVEUNIT_FFMPEG` or `ffmpeg` when left out. */
  readonly program?: string;
}

/**
 * The sound of a phone's recording as the bytes of a WAV file, by the ffmpeg that is installed on this machine, shut in:
 * it gets the bytes through a pipe and nothing else, with its processor time, time, memory and output bounded.
 *
 * @param bytes the file, in an order that can be read from a pipe.
 * @throws AudioError `unread-container` when no ffmpeg is installed, `ffmpeg-refused` when it cannot read the file,
 * `ffmpeg-overrun` when it takes too much.
 */
export async function* soundByFfmpeg(
  { demuxer, name }: PhoneContainer,
  bytes: Iterable<Uint8Array> | AsyncIterable<Uint8Array>,
  { onProblem, limits = LIMITS, program = process.env.FIVEUNIT_FFMPEG ?? 'ffmpeg' }: FfmpegOptions = {},
): AsyncGenerator<Uint8Array> {
  const command = [program, ...argumentsFor(demuxer)];
  const limit = [String(limits.processorSeconds), String(Math.floor(limits.memoryBytes / 1024))];
  const isWindows = process.platform === 'win32';
  const [file, args] = isWindows
    ? [command[0], command.slice(1)]
    : ['/bin/sh', ['-c', LIMITED, 'ffmpeg', ...limit, ...command]];
  const child = spawn(file, args, { cwd: '/', env: { PATH: process.env.PATH }, stdio: 'pipe', windowsHide: true });
  const ended = new Promise<{ code: number | null; isMissing: boolean }>((resolve) => {
    child.once('error', () => resolve({ code: null, isMissing: true }));
    child.once('close', (code) => resolve({ code, isMissing: !isWindows && code === NOT_FOUND }));
  });
  let said = '';
  child.stderr.on('data', (text: Buffer) => {
    if (said.length < MESSAGE_CHARACTERS) said += text.toString('latin1');
  });
  let isLate = false;
  const timer = setTimeout(() => {
    isLate = true;
    child.kill('SIGKILL');
  }, limits.wallSeconds * 1000);
  const fed = feed(child.stdin, bytes);
  // It is awaited when the program has ended.
  fed.catch(() => {});
  let output = 0;
  try {
    for await (const piece of child.stdout as AsyncIterable<Buffer>) {
      output += piece.length;
      if (output > limits.outputBytes) throw overrun('its sound is longer than a recording can be');
      yield piece;
    }
    const { code, isMissing } = await ended;
    await fed;
    if (isMissing) throw missing(name);
    if (isLate) throw overrun(`it took longer than ${limits.wallSeconds} s`);
    if (code === null) throw overrun(`it took more than ${limits.processorSeconds} s of processor time, or broke`);
    if (code !== 0 || said !== '') told(onProblem, name, output, said);
  } finally {
    clearTimeout(timer);
    child.kill('SIGKILL');
  }
}

/** Whether an ffmpeg is installed on this machine that `soundByFfmpeg` would find. */
export function ffmpegIsThere(program: string = process.env.FIVEUNIT_FFMPEG ?? 'ffmpeg'): Promise<boolean> {
  const child = spawn(program, ['-version'], { cwd: '/', stdio: 'ignore', windowsHide: true, timeout: 10_000 });
  return new Promise((resolve) => {
    child.once('error', () => resolve(false));
    child.once('close', (code) => resolve(code === 0));
  });
}

/** Hands the bytes over as fast as they are taken, until they are no longer wanted. */
async function feed(to: Writable, bytes: Iterable<Uint8Array> | AsyncIterable<Uint8Array>): Promise<void> {
  const gone = new Promise<void>((resolve) => {
    to.once('close', resolve);
    to.once('error', () => resolve());
  });
  try {
    for await (const piece of bytes) {
      if (to.destroyed) return;
      // The piece is used again; the pipe may still hold it then.
      if (!to.write(Buffer.from(piece))) await Promise.race([once(to, 'drain').catch(() => {}), gone]);
    }
  } finally {
    to.end();
  }
}

function told(onProblem: FfmpegOptions['onProblem'], name: string, output: number, said: string): void {
  const reason = reasonIn(said);
  if (output <= HEADER_BYTES) {
    throw new AudioError(
      'ffmpeg-refused',
      `The file is ${name}, and ffmpeg cannot read its sound (${reason}). Copy the file again, or ` +
        'convert it to WAV (16-bit PCM).',
    );
  }
  const message = `The file is damaged or cut short, as ffmpeg says (${reason}).`;
  onProblem?.({ code: 'damaged', message, atSeconds: null });
}

/** What it says, without the marks of its parts and without what a terminal would obey. */
function reasonIn(said: string): string {
  const reason = said
    .replace(/\[[^\]]* @ [^\]]*\]/g, ' ')
    .replace(/[^\x21-\x7e]+/g, ' ')
    .trim();
  return reason.slice(0, MESSAGE_CHARACTERS) || 'it does not say why';
}

function missing(name: string): AudioError {
  return new AudioError(
    'unread-container',
    `The file is ${name}, which is read by ffmpeg, and none is installed here. Install ffmpeg on this machine (or name it ` +
      'in FIVEUNIT_FFMPEG), or convert the file to WAV (16-bit PCM), and try again.',
  );
}

function overrun(why: string): AudioError {
  return new AudioError(
    'ffmpeg-overrun',
    `Reading the file by ffmpeg was stopped: ${why}. Convert it to WAV, in parts.`,
  );
}
