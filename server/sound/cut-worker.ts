import { cutSound } from './cut-sound.ts';
import type { CutOutcome, CutTask } from './cutter.ts';

/** What the thread of the cutter does: one stretch at a time. */
export default function cutInThread(task: CutTask): Promise<CutOutcome> {
  return cutSound(task);
}
