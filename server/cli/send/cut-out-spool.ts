import { createHash } from 'node:crypto';
import {
  access,
  constants,
  mkdir,
  mkdtemp,
  readdir,
  readFile,
  rename,
  rm,
  stat,
  utimes,
  writeFile,
} from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import type { AudioProblem } from '../../../decoders/audio/types.ts';
import { CommandError } from '../exit.ts';
import { isSystemError, reasonOf } from '../inputs.ts';
import { objectOf } from './object-of.ts';

/** Beside the recordings: it goes where they go. */
export const SPOOL_NAME = '.fiveunit-cut-outs';
/** When a folder holds so much, it takes no further recording; nothing is kept for longer that nobody asks for. */
const MOST_BYTES = 2 ** 29;
const KEPT_MILLISECONDS = 30 * 86_400_000;

/** A cut-out that was made, with what goes along with it. */
export interface MadeCutOut {
  /** In the recording. */
  readonly startSeconds: number;
  readonly flac: Uint8Array;
  /** As `CutOutReading` of the HTTP interface. */
  readonly reading: unknown;
}

/** What decoding made of a recording: short, and kept when all of it has been sent. */
export interface CutOutRecord {
  readonly problems: readonly AudioProblem[];
  readonly cutOuts: readonly { readonly startSeconds: number; readonly sha256: string }[];
}

/**
 * Keeps what was cut out of a recording until it has been accepted, and of what was accepted that it was: so that a line
 * that breaks costs no second decoding.
 */
export class CutOutSpool {
  readonly #folder: string;
  readonly #key: string;
  readonly #isTemporary: boolean;

  private constructor(folder: string, key: string, isTemporary: boolean) {
    this.#folder = folder;
    this.#key = key;
    this.#isTemporary = isTemporary;
  }

  /**
   * Beside the recording; where that cannot be written to, or is full, in a folder that is gone when the spool is closed.
   *
   * @param key of what is made of it: what is made otherwise has another.
   */
  static async beside(path: string, key: string, mostBytes = MOST_BYTES): Promise<CutOutSpool> {
    const folder = join(dirname(path), SPOOL_NAME);
    try {
      await mkdir(folder, { recursive: true, mode: 0o700 });
      await access(folder, constants.W_OK);
      if ((await bytesAfterSweeping(folder)) < mostBytes) return new CutOutSpool(folder, key, false);
    } catch (error) {
      if (!isSystemError(error)) throw error;
    }
    return new CutOutSpool(await mkdtemp(join(tmpdir(), 'fiveunit-')), key, true);
  }

  /** Null where nothing was made, or it cannot be read. */
  async record(): Promise<CutOutRecord | null> {
    const record = recordOf(await readFile(this.#path('.json'), 'utf8').catch(() => ''));
    // what is asked for stays
    if (record !== null) await utimes(this.#path('.json'), new Date(), new Date()).catch(() => {});
    return record;
  }

  /**
   * Keeps cut-outs as they are made; the record, which says that all are there, comes last.
   *
   * @throws CommandError when the disk does not take them.
   */
  async keep(problems: readonly AudioProblem[], made: AsyncIterable<MadeCutOut>): Promise<CutOutRecord> {
    const cutOuts: CutOutRecord['cutOuts'][number][] = [];
    try {
      for await (const { startSeconds, flac, reading } of made) {
        const sha256 = createHash('sha256').update(flac).digest('hex');
        await this.#write(`-${sha256}.json`, JSON.stringify(reading));
        await this.#write(`-${sha256}.flac`, flac);
        cutOuts.push({ startSeconds, sha256 });
      }
      const record: CutOutRecord = { problems, cutOuts };
      await this.#write('.json', JSON.stringify(record));
      return record;
    } catch (error) {
      if (!isSystemError(error)) throw error;
      throw new CommandError('unwritable', `${this.#folder}: cut-outs cannot be kept here: ${reasonOf(error)}`);
    }
  }

  /** A cut-out that has not been accepted; null when it is not here. */
  async waiting(sha256: string): Promise<Pick<MadeCutOut, 'flac' | 'reading'> | null> {
    try {
      const flac = await readFile(this.#path(`-${sha256}.flac`));
      return { flac, reading: JSON.parse(await readFile(this.#path(`-${sha256}.json`), 'utf8')) };
    } catch {
      return null;
    }
  }

  /** Lets go of a cut-out. */
  async accepted(sha256: string): Promise<void> {
    await rm(this.#path(`-${sha256}.flac`), { force: true });
    await rm(this.#path(`-${sha256}.json`), { force: true });
  }

  async close(): Promise<void> {
    if (this.#isTemporary) await rm(this.#folder, { recursive: true, force: true });
  }

  /** A file appears whole or not at all. */
  async #write(ending: string, content: string | Uint8Array): Promise<void> {
    const path = this.#path(ending);
    await writeFile(`${path}.part`, content, { mode: 0o600 });
    await rename(`${path}.part`, path);
  }

  #path(ending: string): string {
    return join(this.#folder, `${this.#key}${ending}`);
  }
}

async function bytesAfterSweeping(folder: string): Promise<number> {
  const oldest = Date.now() - KEPT_MILLISECONDS;
  let bytes = 0;
  for (const name of await readdir(folder)) {
    const path = join(folder, name);
    const found = await stat(path).catch(() => null);
    if (found === null) continue;
    if (found.mtimeMs < oldest) await rm(path, { recursive: true, force: true });
    else bytes += found.size;
  }
  return bytes;
}

/** The record that a text is; null when it is none. */
function recordOf(text: string): CutOutRecord | null {
  try {
    const { problems, cutOuts } = JSON.parse(text);
    return Array.isArray(problems) && problems.every(isProblem) && Array.isArray(cutOuts) && cutOuts.every(isCutOut)
      ? { problems, cutOuts }
      : null;
  } catch {
    return null;
  }
}

function isProblem(value: unknown): value is AudioProblem {
  const { code, message, atSeconds } = objectOf(value);
  return typeof code === 'string' && typeof message === 'string' && (atSeconds === null || Number.isFinite(atSeconds));
}

function isCutOut(value: unknown): value is CutOutRecord['cutOuts'][number] {
  const { startSeconds, sha256 } = objectOf(value);
  return Number.isFinite(startSeconds) && typeof sha256 === 'string' && /^[0-9a-f]{64}$/.test(sha256);
}
