import { availableParallelism } from 'node:os';
import type { Readable, Writable } from 'node:stream';

/** What a command may touch of the process that runs it; tests hand in streams of their own. */
export interface Io {
  readonly stdin: Readable;
  readonly stdout: Writable;
  readonly stderr: Writable;
  readonly env: Readonly<Record<string, string | undefined>>;
  /** Whether standard error is watched by a person: progress is drawn only then. */
  readonly interactive: boolean;
  /** How many things it can do at once. */
  readonly cores: number;
}

export function processIo(): Io {
  const { stdin, stdout, stderr, env } = process;
  return { stdin, stdout, stderr, env, interactive: stderr.isTTY === true, cores: availableParallelism() };
}

/** Says one thing on standard error, on one line. */
export function complain(io: Io, message: string): void {
  io.stderr.write(`fiveunit: ${message.replaceAll(/\s*\n\s*/g, ' ')}\n`);
}
