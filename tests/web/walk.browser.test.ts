import { mkdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { AxeBuilder } from '@axe-core/playwright';
import type { BrowserContext, Locator, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { type Browser, openBrowser } from './support/browser.ts';
import { type RunningServer, startServer } from './support/running-server.ts';

const SAMPLE = 'dunlin-power';
const PICTURES = join(process.cwd(), '.cache', 'screenshots');
const PATIENCE_MS = 60_000;
/** So many of the samples are decoded when a demonstration first starts. */
const DEMO_RECORDINGS = 4;
/** Hidden from assistive technology, and made of thousands of pieces. */
const HIDDEN_DRAWINGS = '.tape svg';

const sample = readFileSync(join(process.cwd(), 'samples', `${SAMPLE}.wav`));
const expected = JSON.parse(readFileSync(join(process.cwd(), 'samples', `${SAMPLE}.expected.json`), 'utf8')).expected;
const [frame] = expected.frames;
/** As the page prints it: the definition gives two decimals. */
const voltage = `${frame.readings.battery_voltage.toFixed(2)}\u202fV`;

let server: RunningServer;
let browser: Browser;
let context: BrowserContext;
let page: Page;

beforeAll(async () => {
  mkdirSync(PICTURES, { recursive: true });
  server = await startServer();
  browser = await openBrowser(PATIENCE_MS);
  ({ context, page } = browser);
  // the demonstration fills itself in behind the open server
  await page.goto(server.url);
  await page.getByRole('heading', { level: 1, name: /^Dunlin-1 / }).waitFor();
  await vi.waitFor(demoIsDecoded, { timeout: PATIENCE_MS, interval: 500 });
});

async function demoIsDecoded(): Promise<void> {
  const { recordings } = await (await context.request.get(`${server.url}/api/recordings`)).json();
  const states: string[] = recordings.map(({ status }: { status: string }) => status);
  expect(states).toEqual(Array(DEMO_RECORDINGS).fill('decoded'));
}

afterAll(async () => {
  await browser?.close();
  await server?.stop();
});

const nav = (name: string) => page.getByRole('navigation', { name: 'Pages' }).getByRole('link', { name, exact: true });

/** Drops a file as a file manager would. */
async function drop(name: string, bytes: Buffer): Promise<void> {
  const data = await page.evaluateHandle(
    ([fileName, base64]) => {
      const transfer = new DataTransfer();
      const content = Uint8Array.from(atob(base64 ?? ''), (character) => character.charCodeAt(0));
      transfer.items.add(new File([content], fileName ?? ''));
      return transfer;
    },
    [name, bytes.toString('base64')],
  );
  await page.dispatchEvent('.drop', 'drop', { dataTransfer: data });
}

/** How many colours a spectrogram is painted in. */
function colours(spectrogram: Locator): Promise<number> {
  return spectrogram.locator('canvas').evaluate((canvas) => {
    if (!(canvas instanceof HTMLCanvasElement)) return 0;
    const pixels = canvas.getContext('2d')?.getImageData(0, 0, canvas.width, canvas.height).data ?? [];
    const seen = new Set<number>();
    for (let i = 0; i < pixels.length; i += 4) seen.add((pixels[i] << 16) | (pixels[i + 1] << 8) | pixels[i + 2]);
    return seen.size;
  });
}

describe('every page', () => {
  const pages = [
    ['now', '/'],
    ['trends', '/trends'],
    ['recordings', '/recordings'],
    ['recording', '/recordings/r2'],
    ['listen', '/listen'],
    ['frames', '/frames'],
    ['frame', '/frames/f1'],
    ['mission', '/mission'],
    ['hear', '/mission/hear'],
    ['empty', '/?mission=plover-2'],
    ['lost', '/nowhere'],
  ] as const;

  // each width and each theme once: layout does not depend on colours
  for (const { width, height, colorScheme } of [
    { width: 1280, height: 900, colorScheme: 'light' },
    { width: 390, height: 844, colorScheme: 'dark' },
  ] as const) {
    it.each(pages)(`is in order at ${width} pixels, ${colorScheme}: %s`, async (name, path) => {
      await page.setViewportSize({ width, height });
      await page.emulateMedia({ colorScheme });
      await page.goto(server.url + path);
      await page.locator('main :is(h1, h2)').first().waitFor();
      await expect.poll(() => page.locator('.loading').count(), { timeout: PATIENCE_MS }).toBe(0);
      await page.screenshot({ path: join(PICTURES, `${name}-${width}.png`), fullPage: true });
      const overflow = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
      expect(overflow).toBeLessThanOrEqual(0);
      const { violations } = await new AxeBuilder({ page }).exclude(HIDDEN_DRAWINGS).analyze();
      expect(violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(' ')}`)).toEqual([]);
    });
  }
});

describe('how to hear it', () => {
  it.each(['dunlin-1', 'plover-2'])('prints on one sheet of either paper: %s', async (mission) => {
    await page.goto(`${server.url}/mission/hear?mission=${mission}`);
    await page.locator('.line-parts').waitFor();
    for (const format of ['A4', 'Letter']) {
      const pdf = await page.pdf({ format });
      expect(pdf.toString('latin1').match(/\/Type\s*\/Page\b/g), format).toHaveLength(1);
    }
  });

  it('plays and stops the sample', async () => {
    await page.getByRole('button', { name: /^Play it/ }).click();
    await page.getByRole('button', { name: 'Stop' }).click();
    await page.getByRole('button', { name: /^Play it/ }).waitFor();
  });
});

describe('a first visit', () => {
  it('says how the satellite is, and that it is invented', async () => {
    await page.setViewportSize({ width: 1280, height: 900 });
    await page.emulateMedia({ colorScheme: 'light' });
    await page.goto(server.url);
    await page.getByRole('heading', { level: 1, name: /Dunlin-1 (is|was|needs|needed)/ }).waitFor();
    await page.getByRole('heading', { name: 'Battery', exact: true }).waitFor();
    expect(await page.locator('.band').textContent()).toContain('Invented');
  });

  it('takes a recording, watches it being decoded and shows its characters', async () => {
    await nav('Recordings').click();
    await page.getByLabel('Station call sign').fill('q9walk');
    const startedAt = new Date(Date.now() - 600_000).toISOString().slice(0, 19).replace('T', ' ');
    await page.getByLabel('Started at, UTC, if known').fill(startedAt);
    await drop(`${SAMPLE}.wav`, sample);
    await page.getByRole('link', { name: 'See its frames' }).click();
    await page.getByRole('heading', { level: 1, name: /1 burst, 1 frame/ }).waitFor();
    await page.getByRole('img', { name: `Tape: ${frame.text}` }).waitFor();
    const reading = page.getByRole('button', { name: /^Battery voltage/ });
    expect(await reading.textContent()).toContain(voltage);
    await reading.click();
    await page.locator('.tape .picked').first().waitFor();
    expect(await page.locator('.burst-frame mark').textContent()).toBe('8225');
  });

  it('shows what the burst sounds like, plays it, and jumps between reading, tape and spectrogram', async () => {
    const burst = page.locator('.burst').first();
    const sound = burst.getByRole('slider', { name: /^Burst 1, spectrogram from .* mark \d+ hertz, space \d+ hertz/ });
    await expect.poll(() => sound.getAttribute('aria-busy'), { timeout: PATIENCE_MS }).toBe('false');
    expect(await colours(sound)).toBeGreaterThan(20);

    const place = async () => Number(await sound.getAttribute('aria-valuenow'));
    const told = burst.locator('.told strong');
    // the reading was chosen before: its first character is told
    expect(await told.textContent()).toMatch(/^8, /);
    const atReading = await place();
    await burst.locator('.frame-text button').first().click();
    await expect.poll(place).toBeLessThan(atReading);
    await burst.locator('.tape').focus();
    await page.keyboard.press('End');
    await expect.poll(place).toBeGreaterThan(atReading);

    await sound.focus();
    await page.keyboard.press('Home');
    const start = await place();
    const box = await sound.boundingBox();
    if (box === null) throw new Error('the spectrogram is not to be seen');
    await page.mouse.click(box.x + box.width / 2, box.y + 100);
    await expect.poll(place).toBeGreaterThan(start + 2);
    const shown = () => sound.getAttribute('aria-label');
    const before = await shown();
    await page.keyboard.press('+');
    await expect.poll(shown).not.toBe(before);
    await page.keyboard.press('0');
    await expect.poll(shown).toBe(before);

    await page.keyboard.press('Home');
    await page.keyboard.press(' ');
    await burst.getByRole('button', { name: 'Pause' }).waitFor();
    await expect.poll(place, { timeout: PATIENCE_MS }).toBeGreaterThan(start + 1);
    await expect.poll(() => burst.locator('.tape .current').count(), { timeout: PATIENCE_MS }).toBe(1);
    await page.keyboard.press(' ');
    await burst.getByRole('button', { name: 'Play' }).waitFor();
    // it was sent from this browser, which therefore hears all of it
    await page.getByRole('slider', { name: /^The whole recording, spectrogram/ }).waitFor();
    await page.screenshot({ path: join(PICTURES, 'recording-chosen-1280.png'), fullPage: true });
  });

  it('finds its readings in the trends, and where they came from', async () => {
    await nav('Trends').click();
    await page.getByLabel('Stretch of time').selectOption('6h');
    const block = page.locator('.panel-block').filter({ hasText: 'Battery voltage' });
    await block.locator('summary').click();
    const row = block.getByRole('row').filter({ hasText: voltage }).filter({ hasText: 'unvouched' });
    await row.getByRole('button').click();
    const origin = page.getByRole('complementary');
    await origin.getByText('Q9WALK').waitFor();
    expect(await origin.locator('.frame-text').textContent()).toBe(frame.text);
    expect(await origin.locator('mark').textContent()).toBe('8225');
    expect(new URL(page.url()).searchParams.get('point')).toMatch(/^battery_voltage@f\d+$/);

    // the address alone brings the same view back
    await page.reload();
    await origin.getByText('Q9WALK').waitFor();
  });

  it('moves through a chart by keys and by dragging', async () => {
    const field = page.getByRole('application', { name: /^Battery voltage/ });
    await field.focus();
    await page.keyboard.press('Home');
    await page.waitForURL((url) => url.searchParams.get('point') !== null);
    const first = new URL(page.url()).searchParams.get('point');
    await page.keyboard.press('ArrowRight');
    await page.waitForURL((url) => url.searchParams.get('point') !== first);
    const box = await field.boundingBox();
    if (box === null) throw new Error('the chart is not to be seen');
    await page.mouse.move(box.x + 300, box.y + 60);
    await page.mouse.down();
    await page.mouse.move(box.x + 500, box.y + 60, { steps: 4 });
    await page.mouse.up();
    await page.waitForURL((url) => url.searchParams.get('from') !== null);
  });

  it('reads a pasted line and sends it', async () => {
    await nav('Frames').click();
    await page.getByRole('button', { name: 'Try it' }).click();
    await page.locator('.line-result .reading-list').waitFor();
    await page.getByRole('button', { name: 'Just now' }).click();
    await page.getByRole('button', { name: 'Send to the team' }).click();
    await page.getByText('Stored, thank you.').waitFor();
  });

  it('lists a refused file with the reason', async () => {
    await nav('Recordings').click();
    await drop('notes.pdf', Buffer.from('%PDF-1.7\nnot a recording at all'));
    await page.getByText(/notes\.pdf/).waitFor();
    await page.getByText(/could not be decoded: |was not taken: /).waitFor();
  });

  it('never complains in the console', () => {
    expect(browser.complaints).toEqual([]);
  });
});
