import { mkdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { AxeBuilder } from '@axe-core/playwright';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Browser, openBrowser } from './support/browser.ts';
import { type RunningServer, startServer } from './support/running-server.ts';

const SAMPLE = join(process.cwd(), 'samples', 'dunlin-power.wav');
const PICTURES = join(process.cwd(), '.cache', 'screenshots');
const PATIENCE_MS = 90_000;
const WHOLE_MS = 3 * PATIENCE_MS;
const CALL_SIGN = 'Q9CUT';

const wav = readFileSync(SAMPLE);
const { expected } = JSON.parse(readFileSync(SAMPLE.replace('.wav', '.expected.json'), 'utf8'));
const [frame] = expected.frames;

let server: RunningServer;
let browser: Browser;

beforeAll(async () => {
  mkdirSync(PICTURES, { recursive: true });
  // This server is to have no ffmpeg, whatever the machine has.
  process.env.FIVEUNIT_FFMPEG = '/nowhere/ffmpeg';
  server = await startServer();
  browser = await openBrowser(PATIENCE_MS, ['--autoplay-policy=no-user-gesture-required']);
});

afterAll(async () => {
  await browser?.close();
  await server?.stop();
});

/** Drops a file that the page has made, as a file manager would. */
async function drop(make: {
  readonly name: string;
  readonly wavBase64: string;
  readonly asWebm: boolean;
}): Promise<void> {
  const data = await browser.page.evaluateHandle(async ({ name, wavBase64, asWebm }) => {
    const bytes = Uint8Array.from(atob(wavBase64), (character) => character.charCodeAt(0));
    const transfer = new DataTransfer();
    if (!asWebm) {
      transfer.items.add(new File([bytes], name));
      return transfer;
    }
    // The browser's own recorder writes WebM with Opus, in the recording's own time.
    const context = new AudioContext({ latencyHint: 'playback' });
    const source = new AudioBufferSourceNode(context, { buffer: await context.decodeAudioData(bytes.buffer) });
    const target = context.createMediaStreamDestination();
    source.connect(target);
    const recorder = new MediaRecorder(target.stream, {
      mimeType: 'audio/webm;codecs=opus',
      audioBitsPerSecond: 64_000,
    });
    const parts: Blob[] = [];
    const silence = new ConstantSourceNode(context, { offset: 0 });
    silence.connect(target);
    silence.start();
    // Only when it gives sound out has it really begun.
    const running = new Promise((resolve) => {
      recorder.ondataavailable = ({ data: part }) => {
        parts.push(part);
        if (parts.length > 4) resolve(null);
      };
    });
    const stopped = new Promise((resolve) => {
      recorder.onstop = resolve;
    });
    recorder.start(500);
    await running;
    source.start();
    await new Promise((resolve) => {
      source.onended = resolve;
    });
    recorder.stop();
    await stopped;
    await context.close();
    transfer.items.add(new File(parts, name));
    return transfer;
  }, make);
  await browser.page.dispatchEvent('.drop', 'drop', { dataTransfer: data });
}

interface Seen {
  readonly id: string;
  readonly frames: number;
  readonly bytes: number;
  readonly startedAt: string;
  readonly startedAtSource: string;
  readonly cutOut?: {
    readonly software: string;
    readonly source: { readonly sha256: string | null; readonly startSeconds: number };
    readonly readAgain: { readonly elements: number; readonly agreeing: number };
  };
}

async function atServer(): Promise<Seen[]> {
  const { recordings } = await (await fetch(`${server.url}/api/recordings?station=${CALL_SIGN}`)).json();
  return recordings.reverse();
}

describe('the page as a reader of what the server cannot read', () => {
  it(
    'opens a WebM of the browser, decodes it in a worker, and sends the burst alone, which the server reads',
    async () => {
      const { page } = browser;
      await page.goto(`${server.url}/recordings`);
      await page.getByText('is read too, by this browser').waitFor();
      await page.getByLabel('Station call sign').fill(CALL_SIGN);
      await drop({ name: 'pass_20260504T091207Z.webm', wavBase64: wav.toString('base64'), asWebm: true });
      await page.getByText('was read in this browser: 1 burst, sent alone').waitFor();
      await page.getByRole('link', { name: 'See its frames' }).waitFor();
      await page.screenshot({ path: join(PICTURES, 'cut-outs-1280.png'), fullPage: true });
      const { violations } = await new AxeBuilder({ page }).analyze();
      expect(violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(' ')}`)).toEqual([]);

      const [recording, ...others] = await atServer();
      expect(others).toEqual([]);
      expect(recording).toMatchObject({
        frames: 1,
        startedAtSource: 'file name',
        cutOut: { software: 'fiveunit in a browser', source: { sha256: expect.stringMatching(/^[0-9a-f]{64}$/) } },
      });
      const { source, readAgain } = recording.cutOut ?? expect.fail('it is no cut-out');
      const seconds = (Date.parse(recording.startedAt) - Date.parse('2026-05-04T09:12:07Z')) / 1000;
      expect(seconds).toBeCloseTo(source.startSeconds, 2);
      expect(readAgain.agreeing).toBeGreaterThan(0.99 * readAgain.elements);

      await page.getByRole('link', { name: 'See its frames' }).click();
      await page.locator('.frame-text').first().waitFor();
      expect(await page.locator('.frame-text').first().textContent()).toBe(frame.text);
      await page.getByText('read again here, which alone counts').waitFor();
    },
    WHOLE_MS,
  );

  it(
    'sends the bursts of a WAV alone when that is wished for',
    async () => {
      const { page } = browser;
      await page.goto(`${server.url}/recordings?phase=rehearsal`);
      await page.getByLabel('Read them in this browser').check();
      await drop({ name: 'pass_20260504T101207Z.wav', wavBase64: wav.toString('base64'), asWebm: false });
      await page.getByText('was read in this browser: 1 burst, sent alone').waitFor();
      await page.getByRole('link', { name: 'See its frames' }).waitFor();
      const recording = (await atServer()).at(-1);
      expect(recording).toMatchObject({ frames: 1, cutOut: { source: { sha256: null } } });
      expect(recording?.bytes).toBeLessThan(wav.length);
    },
    WHOLE_MS,
  );

  it(
    'says what to do with a file that nothing here reads',
    async () => {
      const { page } = browser;
      const broken = Buffer.concat([Buffer.from([0x1a, 0x45, 0xdf, 0xa3]), Buffer.alloc(500)]).toString('base64');
      await drop({ name: 'broken.webm', wavBase64: broken, asWebm: false });
      await page.getByText(/Neither this server nor this browser can read this file \(Matroska or WebM\)/).waitFor();
      await page.getByRole('button', { name: 'Try again to send broken.webm' }).waitFor();
      expect(browser.complaints).toEqual([]);
    },
    WHOLE_MS,
  );
});
