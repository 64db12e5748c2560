import { readFileSync } from 'node:fs';
import { beforeEach, describe, expect, it, vi } from 'vitest';
import HearPage from '../../../../web/pages/hear/hear-page.tsx';
import { missions } from '../../../../web/shell/missions.ts';
import { readLinesInline } from '../../support/line-worker.ts';
import { byText, click, settle, show, textOf } from '../../support/render.ts';
import { answerWith } from '../../support/server.ts';

const PATIENCE_MS = 20_000;

beforeEach(() => {
  missions.value = null;
  readLinesInline();
});

async function page(name = 'dunlin-1', publicUrl: string | null = null): Promise<HTMLElement> {
  answerWith({
    '/api/settings': { publicUrl },
    [`/api/missions/${name}`]: JSON.parse(readFileSync(`samples/${name}.json`, 'utf8')),
  });
  const root = await show(<HearPage mission={name} />);
  await vi.waitFor(async () => {
    await settle();
    expect(root.querySelector('.line-parts')).not.toBeNull();
  }, PATIENCE_MS);
  return root;
}

const fact = (root: HTMLElement, name: string): string =>
  textOf([...root.querySelectorAll('dt')].find((dt) => dt.textContent === name)?.nextElementSibling ?? null);

describe('how to hear it', () => {
  it('is told from the definition alone', async () => {
    const root = await page();
    expect(textOf(root.querySelector('h1'))).toBe('How to hear Dunlin-1 Q0DUN');
    expect(fact(root, 'Frequency')).toBe('145.920 MHz');
    expect(fact(root, 'Doppler')).toContain('up to 3.4 kHz above when it rises');
    expect(fact(root, 'Doppler')).toContain('An estimate for an orbit 500 km up');
    expect(fact(root, 'Receiver')).toMatch(/^FM/);
    expect(textOf(root)).toContain('Receiving needs no licence in most countries; transmitting does');
  });

  it('gives addresses that can be typed from paper', async () => {
    const addresses = [...(await page()).querySelectorAll('.ways code')].map(textOf);
    const { host } = window.location;
    expect(addresses).toEqual([`${host}/recordings`, `${host}/listen`, `${host}/frames`]);
  });

  it('gives the public address where there is one', async () => {
    const [first] = (await page('dunlin-1', 'https://wren.example')).querySelectorAll('.ways code');
    expect(textOf(first ?? null)).toBe('wren.example/recordings');
  });

  it('plays the sample, and stops it', async () => {
    const play = vi.spyOn(HTMLMediaElement.prototype, 'play').mockImplementation(async function (
      this: HTMLMediaElement,
    ) {
      this.dispatchEvent(new Event('play'));
    });
    const pause = vi.spyOn(HTMLMediaElement.prototype, 'pause').mockImplementation(function (this: HTMLMediaElement) {
      this.dispatchEvent(new Event('pause'));
    });
    const root = await page();
    await click([...root.querySelectorAll('button')].find(({ textContent }) => textContent?.startsWith('Play it')));
    expect(play).toHaveBeenCalledOnce();
    await click(byText(root, 'Stop'));
    expect(pause).toHaveBeenCalledOnce();
    expect(byText(root, 'Stop')).toBeNull();
    vi.restoreAllMocks();
  });

  it('plays practice under its own call sign until it is stopped', async () => {
    vi.spyOn(HTMLMediaElement.prototype, 'play').mockResolvedValue();
    const root = await page();
    await click(byText(root, 'Start practice'));
    expect(textOf(root.querySelector('[role="status"]'))).toMatch(/^Practice, not flight: Q0PRACTICE P \d{5} /);
    await click(byText(root, 'Stop practice'));
    expect(root.querySelector('[role="status"]')).toBeNull();
    vi.restoreAllMocks();
  });
});
