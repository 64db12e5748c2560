import { AxeBuilder } from '@axe-core/playwright';
import { afterAll, beforeAll, beforeEach, expect, it } from 'vitest';
import { type Browser, openBrowser } from './support/browser.ts';
import { type RunningServer, startServer } from './support/running-server.ts';

const PATIENCE_MS = 60_000;
const WHOLE_MS = 2 * PATIENCE_MS;

let server: RunningServer;
let browser: Browser;

beforeAll(async () => {
  server = await startServer();
  // a browser whose only input is one that it makes up; who may use it is asked of nobody, and so refused
  browser = await openBrowser(PATIENCE_MS, ['--use-fake-device-for-media-stream', '--deny-permission-prompts']);
});

afterAll(async () => {
  await browser?.close();
  await server?.stop();
});

beforeEach(async () => {
  await browser.page.setViewportSize({ width: 390, height: 844 });
});

async function listen(): Promise<void> {
  await browser.page.locator('.wishes').waitFor();
  await browser.page.getByRole('button', { name: 'Listen', exact: true }).click();
}

it(
  'a microphone that is not allowed is said so where it is seen, and listening can begin again',
  async () => {
    const { page } = browser;
    await page.goto(`${server.url}/listen`);
    await listen();
    const notice = page.getByRole('alert');
    await notice.waitFor();
    expect(await notice.textContent()).toContain('Allow the microphone for this address in its settings');
    const box = await notice.boundingBox();
    const nav = await page.getByRole('navigation', { name: 'Pages' }).boundingBox();
    if (box === null || nav === null) throw new Error('nothing to be seen');
    expect(box.y).toBeGreaterThan(0);
    expect(box.y + box.height).toBeLessThanOrEqual(nav.y);
    const { violations } = await new AxeBuilder({ page }).analyze();
    expect(violations.map(({ id }) => id)).toEqual([]);
    await page.getByRole('button', { name: 'Listen', exact: true }).waitFor();
  },
  WHOLE_MS,
);

it(
  'echo cancellation that stays on is said while listening goes on',
  async () => {
    const { page, context } = browser;
    await context.grantPermissions(['microphone'], { origin: server.url });
    await page.addInitScript(() => {
      const { getSettings } = MediaStreamTrack.prototype;
      MediaStreamTrack.prototype.getSettings = function kept() {
        return { ...getSettings.call(this), echoCancellation: true };
      };
    });
    await page.goto(`${server.url}/listen`);
    await listen();
    await page.getByText('The browser refuses to switch off echo cancellation, which spoils faint tones.').waitFor();
    await page.getByText('Listening to').waitFor();
    await page.getByRole('button', { name: 'Stop' }).click();
    await page.getByRole('button', { name: 'Listen', exact: true }).waitFor();
  },
  WHOLE_MS,
);

it(
  'an address without HTTPS is said to be no place for a microphone, before anybody presses anything',
  async () => {
    const { page } = browser;
    // as a telephone would see it: a name other than localhost is no secure context
    await page.addInitScript(() => {
      Object.defineProperty(window, 'isSecureContext', { value: false });
    });
    await page.goto(`${server.url}/listen`);
    await page.getByText('This address may not use a microphone.').waitFor();
    expect(await page.locator('.wishes').count()).toBe(0);
    expect(await page.locator('main').textContent()).toContain('its address that begins with https');
  },
  WHOLE_MS,
);
