import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { CutOutJob } from '../../../../web/pages/recordings/cut-out-worker.ts';
import { hand } from '../../../../web/pages/recordings/hand.ts';
import { sent } from '../../../../web/pages/recordings/uploads.ts';
import { answerWith } from '../../support/server.ts';

const fields = { mission: 'any', station: 'Q1LARK' };
const webm = (): File => new File([new Uint8Array([0x1a, 0x45, 0xdf, 0xa3, 1, 2, 3, 4, 5, 6, 7, 8])], 'pass.webm');
const wav = (): File => new File(['RIFF....WAVEfmt '], 'pass.wav');

/** Where files went. */
let posted: string[];

class FakeRequest {
  upload = { onprogress: null };
  open(_method: string, path: string): void {
    posted.push(path);
  }
  setRequestHeader(): void {}
  send(): void {}
}

class Unable {
  decodeAudioData(): Promise<never> {
    return Promise.reject(new Error('no decoder'));
  }
}

/** A medium of so many seconds, as the browser tells it. */
function mediaOf(seconds: number): void {
  const create = document.createElement.bind(document);
  vi.spyOn(document, 'createElement').mockImplementation((name: string) => {
    const element = create(name);
    if (name !== 'video') return element;
    Object.defineProperty(element, 'duration', { value: seconds });
    window.setTimeout(() => element.dispatchEvent(new Event('loadedmetadata')), 1);
    return element;
  });
}

const serverThat = (phoneRecordings: boolean) =>
  answerWith({ '/api/settings': { phoneRecordings, limits: {} }, '/api/missions': { missions: [] } });

beforeEach(() => {
  posted = [];
  sent.value = [];
  vi.stubGlobal('XMLHttpRequest', FakeRequest);
  vi.stubGlobal('OfflineAudioContext', Unable);
});

afterEach(() => {
  vi.unstubAllGlobals();
  vi.restoreAllMocks();
});

const problem = () => sent.peek()[0]?.problem;

describe('a file that is handed over', () => {
  it('goes whole where the server reads it, whatever it is', async () => {
    serverThat(true);
    void hand(webm(), fields, { burstsOnly: false });
    void hand(wav(), fields, { burstsOnly: false });
    await expect.poll(() => posted).toEqual(['/api/recordings', '/api/recordings']);
  });

  it('goes whole when only this browser would not have to read it', async () => {
    serverThat(false);
    void hand(wav(), fields, { burstsOnly: false });
    await expect.poll(() => posted).toEqual(['/api/recordings']);
  });

  it('is decoded here with what is said of it as a band', async () => {
    const jobs: CutOutJob[] = [];
    class FakeWorker {
      postMessage(job: CutOutJob): void {
        jobs.push(job);
      }
      terminate(): void {}
    }
    vi.stubGlobal('Worker', FakeWorker);
    serverThat(true);
    void hand(wav(), { ...fields, iq: true, centerHz: 145.9e6, referenceErrorPpm: 2 }, { burstsOnly: true });
    void hand(wav(), fields, { burstsOnly: true });
    await expect
      .poll(() => jobs.map(({ band }) => band))
      .toEqual([{ iq: { centerHz: 145.9e6 }, tuning: { mode: 'unknown', referenceErrorPpm: 2 } }, {}]);
  });

  it('says in words that neither server nor browser reads it, and sends nothing', async () => {
    serverThat(false);
    mediaOf(60);
    await hand(webm(), fields, { burstsOnly: false });
    expect(problem()).toMatchObject({ code: 'browser-cannot-read' });
    expect(problem()?.message).toMatch(/Neither this server nor this browser can read .*Matroska or WebM.*Convert it/);
    expect(posted).toEqual([]);
  });

  it('says that it is too long for a browser before any of it is decoded', async () => {
    serverThat(false);
    mediaOf(3600);
    await hand(webm(), fields, { burstsOnly: false });
    expect(problem()).toMatchObject({ code: 'too-long-here' });
    expect(problem()?.message).toContain(
      '60 minutes of it are too much for this browser, which reads up to 20 minutes',
    );
    expect(posted).toEqual([]);
  });
});
