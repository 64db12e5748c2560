import { mkdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { AxeBuilder } from '@axe-core/playwright';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { createRecordingDecoder } from '../../decoders/recording.ts';
import type { Browser } from './support/browser.ts';
import { type BuiltSite, startSite } from './support/built-site.ts';
import { heardTexts, openListeningBrowser, WHOLE_MS } from './support/fake-microphone.ts';

const PICTURES = join(process.cwd(), '.cache', 'screenshots');
const CONFIRMED = { hasText: 'confirmed' };

let site: BuiltSite;
let browser: Browser;

beforeAll(async () => {
  mkdirSync(PICTURES, { recursive: true });
  site = await startSite();
  browser = await openListeningBrowser();
});

afterAll(async () => {
  await browser?.close();
  await site?.remove();
});

it(
  'listens from a plain web host, below a path, and with that host gone',
  async () => {
    const { page } = browser;
    await page.goto(`${site.url}#/listen`);
    await page.locator('.wishes').waitFor();
    await page.evaluate(() => navigator.serviceWorker.ready.then(() => null));
    await site.stop();
    await page.reload();
    await page.getByText('these pages have no server', { exact: false }).first().waitFor();
    await page.screenshot({ path: join(PICTURES, 'site-listen-1280.png'), fullPage: true });
    await page.getByLabel('Station call sign').fill('Q9EAR');
    await page.getByRole('button', { name: 'Listen' }).click();
    const settled = page.locator('.hearing:not(.provisional)').filter(CONFIRMED).locator('.frame-text').first();
    await settled.waitFor();
    expect(heardTexts).toContain(await settled.textContent());
    await page.locator('.hearing:not(.provisional) .reading-list').first().waitFor();
  },
  WHOLE_MS,
);

it(
  'keeps what it heard, saves it as a file in which the frame is found, and forgets it when bidden',
  async () => {
    const { page } = browser;
    await page.getByText('These pages send nothing: save what is to be handed over').waitFor();
    await page.getByRole('button', { name: 'Stop' }).click();
    await page.getByRole('button', { name: 'Listen', exact: true }).waitFor();
    await page.setViewportSize({ width: 390, height: 844 });
    await page.screenshot({ path: join(PICTURES, 'site-listen-390.png'), fullPage: true });
    const overflow = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
    expect(overflow).toBeLessThanOrEqual(0);
    const { violations } = await new AxeBuilder({ page }).exclude('.tape svg').analyze();
    expect(violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(' ')}`)).toEqual([]);

    // of a burst in which a frame was read: a busy machine drops sound, and then one may be spoilt
    const rows = page.locator('.kept-here li').filter({ hasText: 'nom' });
    const saving = page.waitForEvent('download');
    await rows.first().getByRole('button', { name: 'Save' }).click();
    const download = await saving;
    expect(download.suggestedFilename()).toMatch(/^Q9EAR-heard-\d{4}-.*\.wav$/);
    const decoder = createRecordingDecoder({ missions: [] });
    const heard: string[] = [];
    const take: Parameters<typeof decoder.push>[1] = (event) => {
      if (event.type === 'burst') heard.push(event.burst.text);
    };
    decoder.push(readFileSync(await download.path()), take);
    expect(decoder.end(take).info.startedAt).not.toBeNull();
    expect(await rows.first().locator('code').textContent()).toBe(heard[0]);

    const all = page.locator('.kept-here li');
    for (let left = await all.count(); left > 0; left--) {
      expect(await all.count()).toBe(left);
      await all.first().getByRole('button', { name: 'Forget' }).click();
      await expect.poll(() => all.count()).toBe(left - 1);
    }
  },
  WHOLE_MS,
);

it('asks for nothing that is not in its folder, and complains of nothing but the host that is gone', () => {
  expect(site.strayPaths).toEqual([]);
  expect(browser.complaints.filter((one) => !/ERR_CONNECTION_REFUSED/.test(one))).toEqual([]);
});
