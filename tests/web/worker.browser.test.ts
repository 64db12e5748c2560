import { readdirSync, readFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { PREPARE_BYTES, prepareAudio } from '../../decoders/audio/prepare.ts';
import { cutOut, findBursts, readingOf } from '../../decoders/cut-outs/index.ts';
import { parseMissionText } from '../../decoders/mission/read.ts';
import type { Mission } from '../../decoders/mission/types.ts';
import { type Browser, openBrowser } from './support/browser.ts';
import { type RunningServer, startServer } from './support/running-server.ts';

const PATIENCE_MS = 90_000;
const WHOLE_MS = 2 * PATIENCE_MS;
const WAV = join('samples', 'dunlin-three.wav');
const CODED = ['mp3', 'ogg', 'opus'].map((kind) => join('tests', 'reference', 'audio', `dunlin-three.${kind}`));

const { expected } = JSON.parse(readFileSync(WAV.replace('.wav', '.expected.json'), 'utf8'));
const texts: string[] = expected.frames.map(({ text }: { text: string }) => text);

/** What a burst came to: its text, and the soft characters that it was read from. */
interface Outcome {
  readonly text: string;
  readonly elements: readonly number[];
}

let server: RunningServer;
let browser: Browser;

beforeAll(async () => {
  server = await startServer();
  browser = await openBrowser(PATIENCE_MS);
  await browser.page.goto(`${server.url}/listen`);
});

afterAll(async () => {
  await browser?.close();
  await server?.stop();
});

function mission(): Mission {
  const { mission: read } = parseMissionText(readFileSync(join('samples', 'dunlin-1.json'), 'utf8'));
  if (read === null) throw new Error('the sample mission is faulty');
  return read;
}

/** Address of the page's own worker that reads recordings. */
function workerPath(): string {
  const name = readdirSync(join('dist', 'web', 'assets')).find((one) => /^cut-out-worker-.*\.js$/.test(one));
  return `/assets/${name}`;
}

/** Reads a file in the worker of the page, under the policy that the server gives its pages; counts what it makes of WebAssembly. */
async function inThePage(path: string): Promise<{ outcomes: Outcome[]; modules: number }> {
  const { page } = browser;
  const beginning = page.waitForEvent('worker');
  const handle = await page.evaluateHandle((address) => new Worker(address, { type: 'module' }), workerPath());
  const inside = await beginning;
  await inside.evaluate(() => {
    const count = { modules: 0 };
    const { Instance } = WebAssembly;
    WebAssembly.Instance = new Proxy(Instance, {
      construct(target, [module, imports]) {
        const made = new target(module, imports);
        count.modules++;
        return made;
      },
    });
    Object.assign(self, { count });
  });
  const job = { base64: readFileSync(path).toString('base64'), name: basename(path), missions: [mission()] };
  const outcomes = await handle.evaluate(async (worker, { base64, name, missions }) => {
    const file = new File([Uint8Array.from(atob(base64), (character) => character.charCodeAt(0))], name);
    const found: { text: string; elements: number[] }[] = [];
    await new Promise<void>((resolve, reject) => {
      worker.onerror = ({ message }) => reject(new Error(message));
      worker.onmessage = ({ data }) => {
        if (data.type === 'failed') reject(new Error(data.message));
        if (data.type === 'done') resolve();
        if (data.type !== 'cut-out') return;
        for (const { text, slots } of data.found.reading.bursts) {
          found.push({ text, elements: slots.flatMap(({ elements }: { elements: number[] }) => elements) });
        }
      };
      worker.postMessage({ source: { file }, missions, startedAt: null, isBand: false });
    });
    return found;
  }, job);
  const modules = await inside.evaluate(() => Number(Reflect.get(Reflect.get(self, 'count'), 'modules')));
  await handle.evaluate((worker) => worker.terminate());
  return { outcomes, modules };
}

/** Reads it here, by the same steps. */
async function here(path: string): Promise<Outcome[]> {
  const bytes = new Uint8Array(readFileSync(path));
  const codecs = () => prepareAudio(bytes.subarray(0, PREPARE_BYTES));
  const found = await findBursts([bytes], { missions: [mission()], codecs: await codecs() }, () => {});
  const outcomes: Outcome[] = [];
  for await (const one of cutOut([bytes], found, { codecs: await codecs() })) {
    for (const { text, slots } of readingOf(one)) {
      outcomes.push({ text, elements: slots.flatMap(({ elements }) => [...elements]) });
    }
  }
  return outcomes;
}

it(
  'reads with the fast kernel, and comes to the same soft characters as Node',
  async () => {
    const { outcomes, modules } = await inThePage(WAV);
    expect(outcomes.map(({ text }) => text)).toEqual(texts);
    expect(outcomes).toEqual(await here(WAV));
    // a WAV file needs no other WebAssembly than the kernel
    expect(modules).toBe(1);
  },
  WHOLE_MS,
);

it.each(CODED)(
  'decodes %s with WebAssembly, and comes to the same soft characters as Node',
  async (path) => {
    const { outcomes } = await inThePage(path);
    expect(outcomes).toHaveLength(texts.length);
    expect(outcomes).toEqual(await here(path));
  },
  WHOLE_MS,
);

it('is under a policy that allows WebAssembly, and no code made of text', async () => {
  for (const path of ['/listen', workerPath()]) {
    const { headers } = await fetch(server.url + path);
    expect(headers.get('content-security-policy')).toMatch(/script-src 'self' 'wasm-unsafe-eval';/);
  }
  expect(browser.complaints).toEqual([]);
});
