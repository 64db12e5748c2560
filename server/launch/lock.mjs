import { mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { root } from './child.mjs';

const path = join(root, '.cache', 'launch.lock');

/**
 * Does `work` while no other launch script installs or builds: two commands started at once on a fresh clone must not
 * write the same files. A lock whose holder is gone is taken over.
 *
 * @template T
 * @param {() => Promise<T>} work
 * @returns {Promise<T>}
 */
export async function alone(work) {
  mkdirSync(join(root, '.cache'), { recursive: true });
  while (!take()) await sleep(100);
  const release = () => rmSync(path, { force: true });
  process.once('exit', release);
  try {
    return await work();
  } finally {
    process.off('exit', release);
    release();
  }
}

function take() {
  try {
    writeFileSync(path, String(process.pid), { flag: 'wx' });
    return true;
  } catch (error) {
    if (error.code !== 'EEXIST') throw error;
    if (!holderLives()) rmSync(path, { force: true });
    return false;
  }
}

function holderLives() {
  try {
    const holder = Number(readFileSync(path, 'utf8'));
    // An empty file is a lock being written this moment.
    if (!Number.isInteger(holder) || holder <= 0) return true;
    process.kill(holder, 0);
    return true;
  } catch (error) {
    // Another user's process may not be signalled, but it is there; a lock just released is no lock.
    return error.code === 'EPERM';
  }
}
