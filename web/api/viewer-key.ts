import { signal } from '@preact/signals';
import { senderKeyOf } from './sender-keys.ts';

/** The key of a station or the team, as the viewer gave it: kept in the open page, and nowhere else. */
export const viewerKey = signal<string | null>(null);

/** The key to ask for a recording with: the one of its sender, else what the viewer gave; null for neither. */
export function keyFor(recording: string): string | null {
  return senderKeyOf(recording) ?? viewerKey.peek();
}
