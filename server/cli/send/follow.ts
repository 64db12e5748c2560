import { appendFile, readdir, readFile, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { setTimeout } from 'node:timers/promises';
import { CommandError, type ExitCode, exitCode, worse } from '../exit.ts';
import { reasonOf } from '../inputs.ts';
import { complain, type Io } from '../io.ts';
import { SendError } from './server-client.ts';

/** Remembers what was sent, a line each, in the folder itself: it goes where the recordings go. */
export const MEMORY_NAME = '.fiveunit-sent';
/** Names that a recorder gives to what it is not done with (common practice), and halves that are no recordings. */
const UNFINISHED = /^\.|\.(part|partial|tmp|temp|crdownload|sigmf-meta)$|~$/i;

export interface FollowOptions {
  /** Ends it. */
  readonly signal: AbortSignal;
  /** Between two looks. */
  readonly everySeconds?: number;
  /** A file is whole when neither its size nor its time has changed for so long. */
  readonly restSeconds?: number;
}

/** A file as it was: another size or time makes it another recording. */
const stateOf = (name: string, size: number, modified: number): string =>
  JSON.stringify([name, size, Math.trunc(modified)]);

/**
 * Sends what appears in a folder, each file once, when its size rests; goes on until it is stopped. What fails is tried
 * again with the next looks, ever more seldom.
 *
 * @param sendGroup sends files; its code says whether all went well.
 * @throws CommandError when the folder cannot be read.
 */
export async function follow(
  io: Io,
  folder: string,
  sendGroup: (paths: readonly string[]) => Promise<ExitCode>,
  { signal, everySeconds = 2, restSeconds = 10 }: FollowOptions,
): Promise<ExitCode> {
  const done = await remembered(folder);
  const resting = new Map<string, number>();
  const failures = new Map<string, number>();
  const dueAt = new Map<string, number>();
  let code: ExitCode = exitCode.done;
  complain(io, `following ${folder}; Ctrl-C ends it`);
  while (!signal.aborted) {
    const now = performance.now() / 1000;
    for (const { path, state } of await filesIn(folder)) {
      if (signal.aborted) break;
      if (done.has(state) || now < (dueAt.get(state) ?? 0)) continue;
      const since = resting.get(state) ?? now;
      resting.set(state, since);
      if (now - since < restSeconds) continue;
      const result = await attempt(path);
      if (result === exitCode.incomplete) {
        const failed = (failures.get(state) ?? 0) + 1;
        failures.set(state, failed);
        dueAt.set(state, now + Math.min(3600, 15 * 2 ** failed));
        continue;
      }
      code = worse(code, result);
      done.add(state);
      await appendFile(join(folder, MEMORY_NAME), `${state}\n`, { mode: 0o600 });
    }
    await setTimeout(1000 * everySeconds, undefined, { signal }).catch(() => {});
  }
  return code;

  /** A server that cannot be reached now is no reason to stop; a void key is. */
  async function attempt(path: string): Promise<ExitCode> {
    try {
      return await sendGroup([path]);
    } catch (error) {
      if (!(error instanceof SendError) || !error.passing) throw error;
      complain(io, `${path}: ${error.message}; it stays here and is tried again`);
      return exitCode.incomplete;
    }
  }
}

/** @throws CommandError when the folder cannot be read. */
export async function needFolder(folder: string): Promise<void> {
  await namesIn(folder);
}

async function namesIn(folder: string): Promise<string[]> {
  return readdir(folder).catch((error: unknown) => {
    throw new CommandError('unreadable-folder', `${folder}: ${reasonOf(error)}`);
  });
}

async function filesIn(folder: string): Promise<{ path: string; state: string }[]> {
  const names = await namesIn(folder);
  const files: { path: string; state: string }[] = [];
  for (const name of names.sort()) {
    if (UNFINISHED.test(name)) continue;
    const path = join(folder, name);
    const found = await stat(path).catch(() => null);
    if (found?.isFile() && found.size > 0) files.push({ path, state: stateOf(name, found.size, found.mtimeMs) });
  }
  return files;
}

async function remembered(folder: string): Promise<Set<string>> {
  const text = await readFile(join(folder, MEMORY_NAME), 'utf8').catch(() => '');
  return new Set(text.split('\n').filter((line) => line !== ''));
}
