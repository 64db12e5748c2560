import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type BrowserContext, chromium, type Page } from 'playwright-core';

const FLAGS = [
  '--headless=new',
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

export interface Browser {
  readonly context: BrowserContext;
  readonly page: Page;
  /** Errors of scripts, and what the console called one. */
  readonly complaints: string[];
  close(): Promise<void>;
}

/** A browser with a profile of its own and one open page. */
export async function openBrowser(patienceMs: number, moreFlags: readonly string[] = []): Promise<Browser> {
  const profile = mkdtempSync(join(tmpdir(), 'fiveunit-browser-'));
  const context = await chromium.launchPersistentContext(profile, {
    executablePath: process.env.FIVEUNIT_CHROMIUM ?? '/usr/bin/chromium',
    args: [...FLAGS, ...moreFlags],
    viewport: { width: 1280, height: 900 },
  });
  context.setDefaultTimeout(patienceMs);
  const page = await context.newPage();
  const complaints: string[] = [];
  page.on('pageerror', (error) => complaints.push(error.message));
  page.on('console', (message) => {
    if (message.type() === 'error') complaints.push(`${message.text()} ${message.location().url}`);
  });
  return {
    context,
    page,
    complaints,
    async close() {
      await context.close();
      rmSync(profile, { recursive: true, force: true });
    },
  };
}
