import { act } from 'preact/test-utils';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { TarReader } from '../../../../decoders/audio/sigmf/tar.ts';
import { DropArea } from '../../../../web/pages/recordings/drop-area.tsx';
import { SentList } from '../../../../web/pages/recordings/sent-list.tsx';
import { sent } from '../../../../web/pages/recordings/uploads.ts';
import { byText, click, settle, show, textOf, type } from '../../support/render.ts';
import { recording } from '../../support/scene.ts';
import { answerWith } from '../../support/server.ts';

class FakeRequest {
  static all: FakeRequest[] = [];
  upload: { onprogress: ((event: unknown) => void) | null } = { onprogress: null };
  onload: (() => void) | null = null;
  onerror: (() => void) | null = null;
  onabort: (() => void) | null = null;
  status = 0;
  responseText = '';
  form: FormData | null = null;
  open(): void {}
  setRequestHeader(): void {}
  abort(): void {}
  send(form: FormData): void {
    this.form = form;
    FakeRequest.all.push(this);
  }
  answer(status: number, json: unknown): Promise<void> {
    this.status = status;
    this.responseText = JSON.stringify(json);
    return act(async () => this.onload?.()).then(() => settle());
  }
}

const request = (): FakeRequest => FakeRequest.all.at(-1) as FakeRequest;
const file = (name: string): File => new File(['RIFF'], name);

async function drop(root: HTMLElement, ...files: File[]): Promise<void> {
  const event = new Event('drop', { bubbles: true, cancelable: true });
  Object.defineProperty(event, 'dataTransfer', { value: { files } });
  await act(async () => {
    root.querySelector('.drop')?.dispatchEvent(event);
  });
}

/** The times of all held files are looked for. */
const looked = (root: HTMLElement): Promise<void> =>
  expect
    .poll(() => settle().then(() => textOf(root.querySelector('.held'))), { timeout: 20_000 })
    .not.toContain('looking');

beforeEach(() => {
  window.localStorage.clear();
  FakeRequest.all = [];
  sent.value = [];
  vi.stubGlobal('XMLHttpRequest', FakeRequest);
  answerWith({
    '/api/settings': { unvouchedUploads: true, limits: { recordingBytes: 2e9 } },
    '/api/recordings/r9': recording({ id: 'r9' }),
  });
});

afterEach(() => vi.unstubAllGlobals());

const page = (): Promise<HTMLElement> =>
  show(
    <>
      <DropArea />
      <SentList />
    </>,
  );

describe('giving recordings', () => {
  it('keeps what was dropped until the call sign is said, and says so', async () => {
    const root = await page();
    await drop(root, file('pass.wav'));
    expect(FakeRequest.all).toHaveLength(0);
    expect(textOf(root)).toContain('A call sign is needed');
    // the field is brought to the one who has to fill it
    expect(document.activeElement).toBe(root.querySelector('input[name="station"]'));
    await looked(root);
    expect(textOf(root.querySelector('.held'))).toContain('1 file waits here to be sent');
    expect(textOf(root.querySelector('.held'))).toContain('pass.wav');

    await type(root.querySelector('input[name="station"]'), 'q1lark');
    await click(byText(root, 'Send'));
    expect(request().form?.get('station')).toBe('Q1LARK');
    expect(request().form?.get('mission')).toBe('any');
    expect(request().form?.get('file')).toBeInstanceOf(File);
  });

  it('remembers the call sign in this browser', async () => {
    const first = await page();
    await type(first.querySelector('input[name="station"]'), 'Q1LARK');
    const seen = vi.spyOn(Element.prototype, 'scrollIntoView');
    await drop(first, file('a.wav'));
    // what became of it is below the form: on a telephone it would not be seen
    expect(seen.mock.contexts).toEqual([first.querySelector('[aria-label="Sent from here"]')]);
    seen.mockRestore();
    const second = await page();
    expect(second.querySelector<HTMLInputElement>('input[name="station"]')?.value).toBe('Q1LARK');
  });

  const labelled = (root: HTMLElement, begins: string): HTMLInputElement | null =>
    [...root.querySelectorAll('label')].find((label) => textOf(label).startsWith(begins))?.querySelector('input') ??
    null;

  it('gives a start time with one file at once', async () => {
    const root = await page();
    await type(root.querySelector('input[name="station"]'), 'Q1LARK');
    await type(labelled(root, 'Started at'), '2031-05-04 09:12');
    await drop(root, file('c.wav'));
    expect(request().form?.get('startedAt')).toBe('2031-05-04T09:12:00.000Z');
    expect(request().form?.get('timeBase')).toBeNull();
  });

  it('says of I/Q what its sender says, and nothing of other sound', async () => {
    const root = await page();
    await type(root.querySelector('input[name="station"]'), 'Q1LARK');
    await drop(root, file('a.wav'));
    for (const name of ['iq', 'centerHz', 'tuning', 'referenceErrorPpm']) expect(request().form?.has(name)).toBe(false);
    await click(labelled(root, 'Both channels are I and Q'));
    await type(labelled(root, 'Middle of the band'), '145,9');
    await type(labelled(root, 'Its reference'), 'half');
    await drop(root, file('b.wav'));
    expect(request().form?.get('iq')).toBe('true');
    expect(request().form?.get('centerHz')).toBe('145900000');
    expect(request().form?.has('referenceErrorPpm')).toBe(false);
    await type(labelled(root, 'Its reference'), '0.5');
    await drop(root, file('c.wav'));
    expect(request().form?.get('referenceErrorPpm')).toBe('0.5');
  });

  it('sends a SigMF pair as one archive, and waits for the other half', async () => {
    const root = await page();
    await type(root.querySelector('input[name="station"]'), 'Q1LARK');
    await drop(root, new File(['{"global":{}}'], 'pass.sigmf-meta'));
    expect(FakeRequest.all).toHaveLength(0);
    expect(textOf(root.querySelector('[role="alert"]'))).toContain('choose pass.sigmf-data, too');
    await drop(root, new File(['samples!'], 'pass.sigmf-data'));
    expect(root.querySelector('[role="alert"]')).toBeNull();
    const sentFile = request().form?.get('file') as File;
    expect(sentFile.name).toBe('pass.sigmf');
    const bytes = new Uint8Array(await sentFile.arrayBuffer());
    expect(bytes.length).toBe(6 * 512);
    const taken: string[] = [];
    const tar = new TarReader({
      begin: ({ name }) => taken.push(name),
      data: (piece) => taken.push(new TextDecoder().decode(piece)),
      finish: () => {},
    });
    tar.push(bytes);
    expect(taken).toEqual([
      'recording/recording.sigmf-meta',
      '{"global":{}}',
      'recording/recording.sigmf-data',
      'samples!',
    ]);
  });

  it('shows when several began and who says it, and corrects them at once', async () => {
    const root = await page();
    await type(root.querySelector('input[name="station"]'), 'Q1LARK');
    await drop(root, file('20240504T091207Z.wav'), file('20240504_101207.wav'), file('c.wav'));
    expect(FakeRequest.all).toHaveLength(0);
    await looked(root);
    const rows = (): string[] => [...root.querySelectorAll('.held-list li')].map((row) => textOf(row));
    expect(rows()[0]).toContain('4 May 2024, 09:12:07 UTC, said by the file’s name');
    expect(rows()[1]).toContain('10:12:07 UTC, said by the file’s name – no zone stated, taken as UTC');
    expect(rows()[2]).toContain('no start found');
    await type(labelled(root, 'Time zone'), 'CET');
    expect((byText(root, 'Send') as HTMLButtonElement).disabled).toBe(true);
    await type(labelled(root, 'Time zone'), '+02:00');
    expect(rows()[1]).toContain('4 May 2024, 08:12:07 UTC, said by you');
    await click(labelled(root, 'The recorder skips'));
    await click(byText(root, 'Send'));
    expect(FakeRequest.all.map(({ form }) => form?.get('startedAt'))).toEqual([null, '2024-05-04T08:12:07.000Z', null]);
    expect(FakeRequest.all.map(({ form }) => form?.get('timeBase'))).toEqual(['gaps', 'gaps', 'gaps']);
    expect(root.querySelector('.held')).toBeNull();
  });

  it('sends again what was not taken', async () => {
    const root = await page();
    await type(root.querySelector('input[name="station"]'), 'Q1LARK');
    await drop(root, file('pass.wav'));
    await request().answer(503, { code: 'stopping', detail: 'The server is stopping.' });
    await click(byText(root, 'Try again to send pass.wav'));
    expect(FakeRequest.all).toHaveLength(2);
    await request().answer(202, { id: 'r9', sha256: 'x', status: 'waiting', senderKey: 'k' });
    expect(textOf(root.querySelector('.sent .words'))).toBe('1 burst, 1 frame');
  });

  it('shows how far it is, then what was found', async () => {
    const root = await page();
    await type(root.querySelector('input[name="station"]'), 'Q1LARK');
    await drop(root, file('pass.wav'));
    await act(async () => request().upload.onprogress?.({ lengthComputable: true, loaded: 1, total: 2 }));
    expect(textOf(root.querySelector('.sent .words'))).toBe('50 % of 4 B sent');
    await request().answer(202, { id: 'r9', sha256: 'x', status: 'waiting', senderKey: 'k' });
    expect(textOf(root.querySelector('.sent .words'))).toBe('1 burst, 1 frame');
    expect(byText(root, 'See its frames')?.getAttribute('href')).toBe('/recordings/r9');
  });

  it('says why a recording was not taken', async () => {
    const root = await page();
    await type(root.querySelector('input[name="station"]'), 'Q1LARK');
    await drop(root, file('pass.wav'));
    await request().answer(429, {
      code: 'too-many',
      detail: '60 recordings an hour are taken; come back in 12 minutes.',
    });
    expect(textOf(root.querySelector('.sent .words'))).toBe(
      'was not taken: 60 recordings an hour are taken; come back in 12 minutes.',
    );
  });

  it('shows markup in a file name as text', async () => {
    const root = await page();
    await type(root.querySelector('input[name="station"]'), 'Q1LARK');
    await drop(root, file('<img src=x onerror=alert(1)>.wav'));
    expect(textOf(root.querySelector('.sent .name'))).toBe('<img src=x onerror=alert(1)>.wav');
    expect(root.querySelector('img')).toBeNull();
  });
});
