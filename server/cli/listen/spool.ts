import { mkdir, readdir, rename, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { FiveunitError } from '../../../decoders/errors.ts';
import { LIVE_TIME_ACCURACY_SECONDS } from '../../../decoders/live/index.ts';
import { complain, type Io } from '../io.ts';
import { SendError, type SendFields, type ServerClient } from '../send/server-client.ts';
import { survey } from '../send/survey.ts';

const KEY_STATUSES = [401, 403];

/** Bursts that the server has not heard, as recordings in a folder, until it has them. */
export class Spool {
  readonly #folder: string;
  readonly #client: ServerClient;
  readonly #fields: () => Promise<SendFields>;
  readonly #io: Io;
  #working: Promise<number> = Promise.resolve(0);

  /** @param fields what is said of every recording; asked for when there is one to be sent */
  constructor(folder: string, client: ServerClient, fields: () => Promise<SendFields>, io: Io) {
    this.#folder = folder;
    this.#client = client;
    this.#fields = fields;
    this.#io = io;
  }

  /** Writes a recording, which appears in the folder whole or not at all. */
  async keep(wav: Uint8Array, startedAt: string): Promise<void> {
    await mkdir(this.#folder, { recursive: true });
    const path = join(this.#folder, `heard-${startedAt.replaceAll(/[:.]/g, '-')}.wav`);
    await writeFile(`${path}.part`, wav);
    await rename(`${path}.part`, path);
  }

  /** Sends what is there, oldest first, as far as the server can be reached; how many are left. */
  send(): Promise<number> {
    this.#working = this.#working.then(() => this.#sendAll());
    return this.#working;
  }

  async #sendAll(): Promise<number> {
    const names = await readdir(this.#folder).catch((): string[] => []);
    const waiting = names.filter((name) => name.endsWith('.wav')).sort();
    let left = waiting.length;
    for (const name of waiting) {
      const path = join(this.#folder, name);
      try {
        const file = await survey(path, this.#io, Date.now());
        const timing = { timeAccuracySeconds: LIVE_TIME_ACCURACY_SECONDS, timeBase: 'continuous' as const };
        const start = file.start === null ? {} : { startedAt: file.start.iso };
        await this.#client.send(file, { ...(await this.#fields()), ...timing, ...start }, this.#io, () => {});
        await rm(path);
        left--;
      } catch (error) {
        if (!(error instanceof FiveunitError)) throw error;
        if (error instanceof SendError && error.passing) return left;
        complain(this.#io, `${path}: ${error.message}`);
        // A key can be mended, and then all of them go; a recording that the server does not take cannot.
        if (error instanceof SendError && (error.status === null || KEY_STATUSES.includes(error.status))) return left;
        await rename(path, `${path}.refused`);
      }
    }
    return left;
  }
}
