import { once } from 'node:events';
import { createWriteStream } from 'node:fs';
import { rename, rm, stat } from 'node:fs/promises';
import type { Writable } from 'node:stream';
import { CommandError } from '../exit.ts';
import { isSystemError, reasonOf } from '../inputs.ts';
import type { Io } from '../io.ts';

/** Whoever read our output has closed it: no failure, but no reason to go on. */
export class OutputClosed extends Error {}

/** Where a command's output goes, text or bytes. */
export class Sink {
  readonly #stream: Writable;
  readonly #name: string;
  #failure: Error | undefined;

  /** @param name for error messages. */
  constructor(stream: Writable, name: string) {
    this.#stream = stream;
    this.#name = name;
    stream.on('error', (error) => {
      this.#failure = error;
    });
  }

  /**
   * Resolves when more may be written.
   *
   * @throws OutputClosed, or CommandError when it cannot be written (disk full).
   */
  async write(chunk: string | Uint8Array): Promise<void> {
    this.check();
    await new Promise<void>((done) => {
      const roomLeft = this.#stream.write(chunk, () => done());
      if (roomLeft) done();
    });
    this.check();
  }

  /** Resolves when all that was written has left the process. */
  async flush(): Promise<void> {
    // An empty write is done when all before it are.
    await new Promise<void>((done) => this.#stream.write('', () => done()));
    this.check();
  }

  check(): void {
    if (this.#failure === undefined) return;
    if (isSystemError(this.#failure) && this.#failure.code === 'EPIPE') throw new OutputClosed();
    throw new CommandError('unwritable-output', `${this.#name}: ${reasonOf(this.#failure)}`);
  }
}

/**
 * Runs `work` with a sink to a named file, or to standard output without a name or for `-`. A file appears under its
 * name only when everything is written: nobody meets half of a result.
 *
 * @throws CommandError when the file cannot be written; whatever `work` throws.
 */
export async function withSink<T>(io: Io, path: string | undefined, work: (sink: Sink) => Promise<T>): Promise<T> {
  if (path === undefined || path === '-') {
    const sink = new Sink(io.stdout, 'standard output');
    const result = await work(sink);
    await sink.flush();
    return result;
  }
  const partPath = (await replaceable(path)) ? `${path}.part` : path;
  const stream = createWriteStream(partPath);
  const sink = new Sink(stream, path);
  try {
    await once(stream, 'open').catch(() => sink.check());
    const result = await work(sink);
    await sink.flush();
    await new Promise<void>((done) => stream.end(() => done()));
    if (partPath !== path) await rename(partPath, path);
    return result;
  } catch (error) {
    stream.destroy();
    if (partPath !== path) await rm(partPath, { force: true });
    throw error;
  }
}

/** Devices and pipes can only be written in place. */
async function replaceable(path: string): Promise<boolean> {
  const existing = await stat(path).catch(() => null);
  return existing === null || existing.isFile();
}
