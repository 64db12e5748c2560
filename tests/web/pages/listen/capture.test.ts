import { afterEach, describe, expect, it, vi } from 'vitest';
import { openCapture } from '../../../../web/pages/listen/capture.ts';

const HANDLERS = { onInterrupted: () => {}, onEnded: () => {} };

let closed: number;
let stopped: number;

/** A browser that answers thus when it is asked for an input; everything before that works. */
function browserThat(answer: () => Promise<unknown>, isSecure = true, loadWorklet = async () => {}): void {
  closed = 0;
  stopped = 0;
  const node = { port: { postMessage() {} } };
  class Context {
    readonly sampleRate = 48_000;
    readonly audioWorklet = { addModule: loadWorklet };
    createMediaStreamSource = () => ({ connect: () => {} });
    async resume() {}
    async close() {
      closed++;
    }
  }
  vi.stubGlobal('AudioContext', Context);
  vi.stubGlobal('AudioWorkletNode', function AudioWorkletNode() {
    return node;
  });
  vi.stubGlobal('isSecureContext', isSecure);
  vi.stubGlobal('navigator', isSecure ? { mediaDevices: { getUserMedia: answer } } : {});
}

/** A stream whose track says that it is processed like this. */
function streamWith(settings: MediaTrackSettings): object {
  const track = { label: 'Line in', getSettings: () => settings, stop: () => stopped++ };
  return { getAudioTracks: () => [track], getTracks: () => [track] };
}

const open = () => openCapture(null, new MessageChannel().port1, HANDLERS);
const refusedWith = (name: string) => () => Promise.reject(new DOMException('the browser’s own words', name));

afterEach(() => vi.unstubAllGlobals());

describe('an input that is refused', () => {
  it.each([
    ['NotAllowedError', 'not-allowed', 'Allow the microphone for this address'],
    ['NotFoundError', 'no-input', 'There is no such input.'],
    ['OverconstrainedError', 'no-input', 'There is no such input.'],
    ['NotReadableError', 'input-busy', 'Another program holds the input.'],
  ])('for %s is told as %s, and nothing stays open', async (name, code, words) => {
    browserThat(refusedWith(name));
    await expect(open()).rejects.toMatchObject({ code, message: expect.stringContaining(words) });
    expect(closed).toBe(1);
  });

  it('because the address is no secure one, is not even asked for', async () => {
    const asked = vi.fn();
    browserThat(asked, false);
    await expect(open()).rejects.toMatchObject({ code: 'insecure-context' });
    expect(asked).not.toHaveBeenCalled();
  });

  it('keeps its own words when it is of no known kind', async () => {
    browserThat(refusedWith('AbortError'));
    await expect(open()).rejects.toMatchObject({ name: 'AbortError', message: 'the browser’s own words' });
  });
});

describe('an input that is given', () => {
  it('is asked for without anything that is made for voices', async () => {
    const asked = vi.fn(async () => streamWith({}));
    browserThat(asked);
    const { keptOn, label, sampleRateHz } = await open();
    expect([keptOn, label, sampleRateHz]).toEqual([[], 'Line in', 48_000]);
    expect(asked).toHaveBeenCalledWith({
      audio: { echoCancellation: false, noiseSuppression: false, autoGainControl: false },
    });
  });

  it('says what the browser would not switch off', async () => {
    browserThat(async () => streamWith({ echoCancellation: true, noiseSuppression: false, autoGainControl: true }));
    expect((await open()).keptOn).toEqual(['echo cancellation', 'automatic gain']);
  });

  it('is let go again when the page cannot use it', async () => {
    browserThat(
      async () => streamWith({}),
      true,
      () => Promise.reject(new Error('no network')),
    );
    await expect(open()).rejects.toThrow('no network');
    expect([stopped, closed]).toEqual([1, 1]);
  });

  it('is refused when there is no sound in it', async () => {
    browserThat(async () => ({ getAudioTracks: () => [], getTracks: () => [] }));
    await expect(open()).rejects.toMatchObject({ code: 'no-input' });
    expect(closed).toBe(1);
  });
});
