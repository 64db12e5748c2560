/** What a server says of the samples that it is sent, as far as the sender needs it. */
export type LinkNote =
  /** Go on from this sample of the session; have no more than `window` on their way. */
  | { readonly type: 'ready'; readonly session: string; readonly samples: number; readonly window: number }
  | { readonly type: 'ack'; readonly samples: number }
  | { readonly type: 'ended' }
  | { readonly type: 'refused'; readonly detail: string };

/** Reads a message of the server; null for what the sender does not need, and for what is none. */
export function readLinkNote(text: string): LinkNote | null {
  let note: unknown;
  try {
    note = JSON.parse(text);
  } catch {
    return null;
  }
  if (typeof note !== 'object' || note === null || !('type' in note)) return null;
  switch (note.type) {
    case 'ready': {
      if (!('session' in note && 'samples' in note && 'window' in note)) return null;
      const { session, samples, window } = note;
      return typeof session === 'string' && isCount(samples) && isCount(window)
        ? { type: 'ready', session, samples, window }
        : null;
    }
    case 'ack':
      return 'samples' in note && isCount(note.samples) ? { type: 'ack', samples: note.samples } : null;
    case 'ended':
      return { type: 'ended' };
    case 'refused':
      return 'detail' in note && typeof note.detail === 'string' ? { type: 'refused', detail: note.detail } : null;
    default:
      return null;
  }
}

const isCount = (value: unknown): value is number => Number.isSafeInteger(value) && Number(value) >= 0;
