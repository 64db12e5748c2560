import { CONTRADICTED_NOTE } from './decide.ts';
import type { DecodedFrame } from './types.ts';

/** Whether more work could change anything: cut frames and those whose name is open need more than a closer look. */
export function isSettled({ trust, complete, checksum, decision }: DecodedFrame): boolean {
  const most = checksum === 'pass' ? 'confirmed' : 'probable';
  // A text that contradicts its checksum without being sure of itself may be read otherwise through the phase.
  const isOpen = decision.notes.every((note) => note === CONTRADICTED_NOTE);
  return trust === most || !complete || checksum === 'fail' || !isOpen;
}
