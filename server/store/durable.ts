import { open } from 'node:fs/promises';

/** Makes the names in a directory last through a power cut. Windows does so by itself and refuses to be asked. */
export async function syncDirectory(path: string): Promise<void> {
  if (process.platform === 'win32') return;
  const directory = await open(path, 'r');
  try {
    await directory.sync();
  } finally {
    await directory.close();
  }
}
