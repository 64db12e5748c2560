import { signal } from '@preact/signals';
import type { LiveEvent } from '../../server/http/messages.ts';

/** What subscribers hear: the server's events, or that they should look for themselves. */
export type LiveNote = LiveEvent | { readonly type: 'look-anew' };

/** `live` while events come by themselves, `asking` while the page has to ask, `off` before the first try. */
export const liveState = signal<'off' | 'live' | 'asking'>('off');

const FIRST_WAIT_MS = 1_000;
const LONGEST_WAIT_MS = 30_000;
const ASK_EVERY_MS = 5_000;

const listeners = new Set<(note: LiveNote) => void>();

/** Hears every event from now on; returns the way to stop. */
export function onLive(listener: (note: LiveNote) => void): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

function tell(note: LiveNote): void {
  for (const listener of listeners) listener(note);
}

function parseEvent(data: unknown): LiveEvent | null {
  try {
    const event: unknown = JSON.parse(String(data));
    const known = typeof event === 'object' && event !== null && 'type' in event && 'seq' in event;
    // checked by the server against the schema this type comes from; kinds we do not know are passed over
    return known ? (event as LiveEvent) : null;
  } catch {
    return null;
  }
}

/**
 * Keeps one connection to `/api/live`: after a break it goes on from the last event heard, and while there is none it
 * bids the pages to look for themselves every few seconds. Returns the way to stop.
 */
export function startLive(): () => void {
  let seq: number | null = null;
  let socket: WebSocket | null = null;
  let waitMs = FIRST_WAIT_MS;
  let retry = 0;
  let stopped = false;
  const asking = window.setInterval(() => {
    if (liveState.peek() === 'asking' && !document.hidden) tell({ type: 'look-anew' });
  }, ASK_EVERY_MS);

  const connect = (): void => {
    if (stopped) return;
    const scheme = window.location.protocol === 'https:' ? 'wss' : 'ws';
    const since = seq === null ? '' : `?since=${seq}`;
    socket = new WebSocket(`${scheme}://${window.location.host}/api/live${since}`, 'fiveunit.live');
    socket.onmessage = ({ data }) => {
      const event = parseEvent(data);
      if (event === null) return;
      const resumed = seq !== null;
      seq = event.seq;
      if (event.type === 'hello') {
        waitMs = FIRST_WAIT_MS;
        const wasAsking = liveState.peek() === 'asking';
        liveState.value = 'live';
        if (wasAsking && !resumed) tell({ type: 'look-anew' });
      } else if (event.type === 'reset') tell({ type: 'look-anew' });
      else tell(event);
    };
    socket.onclose = () => {
      if (stopped) return;
      liveState.value = 'asking';
      retry = window.setTimeout(connect, waitMs);
      waitMs = Math.min(2 * waitMs, LONGEST_WAIT_MS);
    };
  };
  connect();
  return () => {
    stopped = true;
    window.clearInterval(asking);
    window.clearTimeout(retry);
    socket?.close();
    liveState.value = 'off';
  };
}
