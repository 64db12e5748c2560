import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { AxeBuilder } from '@axe-core/playwright';
import { type Browser, chromium, type Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { type BuiltSite, buildPages, startSite } from './support/built-site.ts';

const PICTURES = join(process.cwd(), '.cache', 'screenshots');
const LINE = 'q0dun p 00042 7921 -0130 412 388 000 000 11 nom b72e';

let site: BuiltSite;
let browser: Browser;
let page: Page;
const complaints: string[] = [];

beforeAll(async () => {
  mkdirSync(PICTURES, { recursive: true });
  site = await startSite('--mission', 'samples/dunlin-1.json', '--mission', 'samples/plover-2.json');
  browser = await chromium.launch({
    executablePath: process.env.FIVEUNIT_CHROMIUM ?? '/usr/bin/chromium',
    args: ['--no-sandbox', '--disable-gpu'],
  });
  page = await (await browser.newContext({ viewport: { width: 1280, height: 900 } })).newPage();
  page.on('pageerror', (error) => complaints.push(error.message));
  page.on('console', (message) => {
    if (message.type() === 'error') complaints.push(`${message.text()} ${message.location().url}`);
  });
});

afterAll(async () => {
  await browser?.close();
  await site?.remove();
});

const nav = (name: string) => page.getByRole('navigation', { name: 'Pages' }).getByRole('link', { name, exact: true });

it('reads a pasted line from a plain web host, below a path', async () => {
  await page.goto(site.url);
  await nav('Frames').click();
  await page.locator('textarea').fill(LINE);
  await page.locator('.line-result .reading-list').waitFor();
  expect(await page.locator('.line-result .reading-list').textContent()).toContain('7.92\u202fV');
  expect(await page.locator('main').textContent()).toContain('These pages have no server and send nothing');
  await page.screenshot({ path: join(PICTURES, 'site-frames-1280.png'), fullPage: true });
});

it('shows its other pages, and comes back to an address that was given away', async () => {
  await nav('Mission').click();
  await page.getByRole('link', { name: 'How to hear it' }).click();
  await page.getByRole('heading', { level: 1, name: 'How to hear Dunlin-1' }).waitFor();
  expect(new URL(page.url()).hash).toBe('#/mission/hear');
  await page.getByLabel('Satellite').selectOption('plover-2');
  await page.getByRole('heading', { level: 1, name: 'How to hear Plover-2' }).waitFor();
  await page.reload();
  await page.getByRole('heading', { level: 1, name: 'How to hear Plover-2' }).waitFor();
  await page.goBack();
  await page.getByRole('heading', { level: 1, name: 'How to hear Dunlin-1' }).waitFor();
});

it('is in order on a telephone', async () => {
  await page.setViewportSize({ width: 390, height: 844 });
  for (const [name, hash] of [
    ['frames', '#/frames'],
    ['hear', '#/mission/hear'],
    ['mission', '#/mission'],
  ]) {
    await page.goto(site.url + hash);
    await page.locator('main :is(h1, h2)').first().waitFor();
    await page.screenshot({ path: join(PICTURES, `site-${name}-390.png`), fullPage: true });
    const overflow = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
    expect(overflow).toBeLessThanOrEqual(0);
    const { violations } = await new AxeBuilder({ page }).analyze();
    expect(violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(' ')}`)).toEqual([]);
  }
});

it('asks for nothing that is not in its folder, and never complains', () => {
  expect(site.strayPaths).toEqual([]);
  expect(complaints).toEqual([]);
});

it('is not built of what is no definition, nor over what is not its own', async () => {
  const other = mkdtempSync(join(tmpdir(), 'fiveunit-other-'));
  try {
    writeFileSync(join(other, 'letter.txt'), 'keep me');
    expect(await buildPages('--out', other)).toMatchObject({
      code: 2,
      said: expect.stringContaining('would be emptied'),
    });
    expect(readFileSync(join(other, 'letter.txt'), 'utf8')).toBe('keep me');
    const faulty = join(other, 'faulty.json');
    writeFileSync(faulty, '{"fiveunit": 1}');
    const out = join(other, 'site');
    expect(await buildPages('--out', out, '--mission', faulty)).toMatchObject({
      code: 2,
      said: expect.stringContaining(`${faulty} is no mission definition`),
    });
    expect(await buildPages('--out', out, '--server', 'wren')).toMatchObject({
      code: 2,
      said: expect.stringContaining('--server is wren'),
    });
  } finally {
    rmSync(other, { recursive: true, force: true });
  }
});
