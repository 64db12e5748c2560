import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { AxeBuilder } from '@axe-core/playwright';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Browser } from './support/browser.ts';
import { heardTexts, openListeningBrowser, PATIENCE_MS, WHOLE_MS } from './support/fake-microphone.ts';
import { type RunningServer, startServer } from './support/running-server.ts';

const PICTURES = join(process.cwd(), '.cache', 'screenshots');
const STATION = 'Q9EAR';
const CONFIRMED = { hasText: 'confirmed' };

let server: RunningServer;
let browser: Browser;

beforeAll(async () => {
  mkdirSync(PICTURES, { recursive: true });
  server = await startServer();
  browser = await openListeningBrowser();
});

afterAll(async () => {
  await browser?.close();
  await server?.stop();
});

/** Texts of the frames that the server has of this station; a busy machine drops sound, and then some are doubtful. */
async function framesAtServer(): Promise<string[]> {
  const url = `${server.url}/api/missions/dunlin-1/frames?station=${STATION}&phase=rehearsal&trust=probable&limit=50`;
  const { frames } = await (await fetch(url)).json();
  return frames.map(({ text }: { text: string }) => text);
}

describe('the page as a decoder', () => {
  it(
    'opens without a network once it was loaded',
    async () => {
      const { page, context } = browser;
      await page.goto(`${server.url}/listen?phase=rehearsal`);
      await page.locator('.wishes').waitFor();
      await page.evaluate(() => navigator.serviceWorker.ready.then(() => null));
      await context.setOffline(true);
      await page.reload();
      await page.getByRole('heading', { level: 1, name: 'Listen' }).waitFor();
      await page.getByText('The server does not answer.').waitFor();
    },
    WHOLE_MS,
  );

  it(
    'shows characters, frames and readings of what the input gives, with the network cut',
    async () => {
      const { page } = browser;
      await page.getByLabel('Station call sign').fill(STATION);
      await page.locator('.wishes select').last().selectOption('dunlin-1');
      await page.getByRole('button', { name: 'Listen' }).click();
      await page.locator('.hearing.provisional .tape svg').first().waitFor();
      const guessed = page.locator('.hearing.provisional').filter(CONFIRMED).locator('.frame-text').first();
      await guessed.waitFor();
      expect(heardTexts).toContain(await guessed.textContent());
      await page.screenshot({ path: join(PICTURES, 'listening-1280.png'), fullPage: true });
      const settled = page.locator('.hearing:not(.provisional)').filter(CONFIRMED).locator('.frame-text').first();
      await settled.waitFor();
      expect(heardTexts).toContain(await settled.textContent());
      await page.locator('.hearing:not(.provisional) .reading-list').first().waitFor();
      await page.getByText('until the server can be reached').waitFor();
      await page.setViewportSize({ width: 390, height: 844 });
      // what is heard stands on a telephone's first screen, above the fixed navigation
      await page.evaluate(() => window.scrollTo(0, 0));
      const nav = await page.getByRole('navigation', { name: 'Pages' }).boundingBox();
      const heard = await page.locator('.hearing').first().boundingBox();
      expect(heard?.y).toBeLessThan(nav?.y ?? 0);
      expect(await page.locator('.wishes details').getAttribute('open')).toBeNull();
      await page.screenshot({ path: join(PICTURES, 'listening-390.png'), fullPage: true });
      const overflow = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
      expect(overflow).toBeLessThanOrEqual(0);
      const { violations } = await new AxeBuilder({ page }).exclude('.tape svg').analyze();
      expect(violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(' ')}`)).toEqual([]);
    },
    WHOLE_MS,
  );

  it(
    'gives the frames to the server when it is back',
    async () => {
      const { page, context } = browser;
      expect(await framesAtServer()).toEqual([]);
      await context.setOffline(false);
      await page.getByText(/at the server/).waitFor();
      await expect.poll(framesAtServer, { timeout: PATIENCE_MS, interval: 1000 }).not.toEqual([]);
      for (const text of await framesAtServer()) expect(heardTexts).toContain(text);
      await page.getByRole('button', { name: 'Stop' }).click();
      await page.getByRole('button', { name: 'Listen', exact: true }).waitFor();
      expect(browser.complaints.filter((one) => !/ERR_INTERNET_DISCONNECTED/.test(one))).toEqual([]);
    },
    WHOLE_MS,
  );

  it(
    'opens and reads beacons when the server itself has stopped',
    async () => {
      const { page } = browser;
      await server.stop();
      await page.reload();
      await page.getByText('The server does not answer.').waitFor();
      await page.getByRole('button', { name: 'Listen', exact: true }).click();
      const frame = page.locator('.hearing').filter(CONFIRMED).locator('.frame-text').first();
      await frame.waitFor();
      expect(heardTexts).toContain(await frame.textContent());
    },
    WHOLE_MS,
  );
});
