import { keep, recall } from '../shell/kept.ts';

/** So many recordings are remembered as this browser's own; older ones are forgotten first. */
const REMEMBERED = 200;

const isPair = (value: unknown): value is [string, string] =>
  Array.isArray(value) && value.length === 2 && value.every((part) => typeof part === 'string');

function pairs(): [string, string][] {
  try {
    const kept: unknown = JSON.parse(recall('sender-keys') ?? '[]');
    return Array.isArray(kept) ? kept.filter(isPair) : [];
  } catch {
    return [];
  }
}

/**
 * Keeps the key that the server gives once to the sender of a recording: with it the sender sees all of the recording's
 * text and may date or delete it.
 */
export function keepSenderKey(recording: string, key: string): void {
  const others = pairs().filter(([id]) => id !== recording);
  keep('sender-keys', JSON.stringify([...others, [recording, key]].slice(-REMEMBERED)));
}

/** The sender's key of a recording that went out from this browser; null for all others. */
export function senderKeyOf(recording: string): string | null {
  return pairs().find(([id]) => id === recording)?.[1] ?? null;
}
