import { chmod, open, readFile, rename, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { FiveunitError } from '../../decoders/errors.ts';
import { syncDirectory } from '../store/durable.ts';
import { hashKey, newKey } from './secrets.ts';

export const TEAM_KEY_VARIABLE = 'FIVEUNIT_TEAM_KEY';
export const TEAM_KEY_CHARACTERS_MIN = 20;

export interface TeamKey {
  readonly hash: Uint8Array;
  /** File that holds it; null when it comes from the environment. */
  readonly path: string | null;
}

/**
 * The team's key: from the environment, else from a file in the data directory that only its owner can read, which is
 * made at first start. Throws `team-key-too-short`.
 */
export async function findTeamKey(dataDir: string, environment: NodeJS.ProcessEnv = process.env): Promise<TeamKey> {
  const given = environment[TEAM_KEY_VARIABLE];
  if (given !== undefined) return { hash: hashKey(longEnough(given, TEAM_KEY_VARIABLE)), path: null };
  const path = join(dataDir, 'team-key');
  return { hash: hashKey(longEnough(await readOrMake(path), path)), path };
}

function longEnough(key: string, source: string): string {
  if (key.length >= TEAM_KEY_CHARACTERS_MIN) return key;
  throw new FiveunitError(
    'team-key-too-short',
    `the team's key in ${source} has ${key.length} characters; it needs at least ${TEAM_KEY_CHARACTERS_MIN}`,
  );
}

async function readOrMake(path: string): Promise<string> {
  try {
    const key = (await readFile(path, 'utf8')).trim();
    if (((await stat(path)).mode & 0o077) !== 0) await chmod(path, 0o600);
    return key;
  } catch (error) {
    if (!isMissing(error)) throw error;
    return make(path);
  }
}

/** The file appears whole or not at all, so that a crash leaves no half key. */
async function make(path: string): Promise<string> {
  const key = newKey();
  const draft = `${path}.new`;
  const file = await open(draft, 'w', 0o600);
  try {
    await file.writeFile(`${key}\n`);
    await file.sync();
  } finally {
    await file.close();
  }
  await rename(draft, path);
  await syncDirectory(join(path, '..'));
  return key;
}

function isMissing(error: unknown): boolean {
  return error instanceof Error && 'code' in error && error.code === 'ENOENT';
}
