import { AGAINST_NOTE, CONTRADICTED_NOTE } from './notes.ts';
import type { DecodedFrame } from './types.ts';

/** A text that its checksum or a slot contradicts may be read otherwise through the phase. */
const OPEN_NOTES = [AGAINST_NOTE, CONTRADICTED_NOTE];

/** Whether more work could change anything: cut frames and those whose name is open need more than a closer look. */
export function isSettled({ trust, complete, checksum, decision }: DecodedFrame): boolean {
  const most = checksum === 'pass' ? 'confirmed' : 'probable';
  const isOpen = decision.notes.every((note) => OPEN_NOTES.includes(note));
  return trust === most || !complete || checksum === 'fail' || !isOpen;
}
