/** Small things this browser remembers for its user; nothing of it is sent. */
export type Kept = 'theme' | 'call-sign' | 'sender-keys' | 'definitions';

/** Null when nothing was kept, or when the browser keeps nothing. */
export function recall(name: Kept): string | null {
  try {
    return window.localStorage.getItem(`fiveunit-${name}`);
  } catch {
    return null;
  }
}

/** Keeps a value, or forgets it when it is empty. A browser that refuses is no error: the value is asked again. */
export function keep(name: Kept, value: string): void {
  try {
    if (value === '') window.localStorage.removeItem(`fiveunit-${name}`);
    else window.localStorage.setItem(`fiveunit-${name}`, value);
  } catch {
    // private windows refuse storage
  }
}
