import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { type LiveNote, liveState, onLive, startLive } from '../../../web/api/live.ts';

class FakeSocket {
  static all: FakeSocket[] = [];
  onmessage: ((event: { data: unknown }) => void) | null = null;
  onclose: (() => void) | null = null;
  readonly url: string;
  constructor(url: string) {
    this.url = url;
    FakeSocket.all.push(this);
  }
  say(message: unknown): void {
    this.onmessage?.({ data: typeof message === 'string' ? message : JSON.stringify(message) });
  }
  close(): void {
    this.onclose?.();
  }
}

let heard: LiveNote[];
let stop: () => void;
let deaf: () => void;
const socket = (): FakeSocket => FakeSocket.all.at(-1) as FakeSocket;

beforeEach(() => {
  vi.useFakeTimers();
  vi.stubGlobal('WebSocket', FakeSocket);
  FakeSocket.all = [];
  heard = [];
  deaf = onLive((note) => heard.push(note));
  stop = startLive();
});

afterEach(() => {
  stop();
  deaf();
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

const frameEvent = (seq: number) => ({
  type: 'recording',
  seq,
  at: '',
  recording: 'r1',
  status: 'decoded',
  missions: [],
});

describe('the live connection', () => {
  it('passes events on and goes on from the last one after a break', () => {
    socket().say({ type: 'hello', seq: 4 });
    socket().say(frameEvent(7));
    expect(liveState.value).toBe('live');
    expect(heard).toEqual([frameEvent(7)]);
    socket().close();
    vi.advanceTimersByTime(1000);
    expect(FakeSocket.all).toHaveLength(2);
    expect(socket().url).toMatch(/\/api\/live\?since=7$/);
  });

  it('bids the pages to look for themselves while there is no connection', () => {
    socket().close();
    expect(liveState.value).toBe('asking');
    vi.advanceTimersByTime(11_000);
    expect(heard.filter(({ type }) => type === 'look-anew').length).toBeGreaterThanOrEqual(2);
  });

  it('stops asking once it is back', () => {
    socket().close();
    vi.advanceTimersByTime(1000);
    socket().say({ type: 'hello', seq: 1 });
    heard = [];
    vi.advanceTimersByTime(60_000);
    expect(heard).toEqual([]);
  });

  it('waits longer and longer before it tries again', () => {
    for (let i = 0; i < 8; i++) {
      socket().close();
      vi.advanceTimersByTime(30_000);
    }
    const tries = FakeSocket.all.length;
    socket().close();
    vi.advanceTimersByTime(29_000);
    expect(FakeSocket.all).toHaveLength(tries);
    vi.advanceTimersByTime(1_001);
    expect(FakeSocket.all).toHaveLength(tries + 1);
  });

  it('bids to look anew when what was missed is no longer kept', () => {
    socket().say({ type: 'reset', seq: 90 });
    expect(heard).toEqual([{ type: 'look-anew' }]);
  });

  it('passes over what is no event', () => {
    socket().say('no json');
    socket().say('null');
    socket().say('{"seq":1}');
    expect(heard).toEqual([]);
  });
});
