import { afterEach, describe, expect, it, vi } from 'vitest';
import { siteInside } from '../../../web/site/plugin.ts';
import type { Site } from '../../../web/site/site.ts';

const site: Site = {
  missions: [{ id: 'dunlin-1', name: '</script><b>', callSign: 'Q0DUN', definition: {} }],
  server: 'https://wren.example',
  builtAt: '2031-05-04T09:00:00.000Z',
};

afterEach(() => {
  document.head.replaceChildren();
  window.history.replaceState(null, '', '/');
  vi.resetModules();
});

/** Puts what the build writes into this document. */
function carry(): void {
  const { transformIndexHtml } = siteInside(site);
  const tags = typeof transformIndexHtml === 'function' ? (transformIndexHtml as () => unknown)() : [];
  const [, script] = tags as { attrs: Record<string, string>; children: string }[];
  expect(script?.children).not.toContain('<');
  const element = document.createElement('script');
  element.type = 'application/json';
  element.id = script?.attrs.id ?? '';
  element.textContent = script?.children ?? '';
  document.head.append(element);
}

describe('a document that carries a site', () => {
  it('gives it back as it was, names and all', async () => {
    carry();
    expect((await import('../../../web/site/site.ts')).siteIn(document)).toEqual(site);
  });

  it('has its addresses behind a #, and only the pages that need no server', async () => {
    carry();
    const { addressOf, OPEN_PAGES, readAddress } = await import('../../../web/address/address.ts');
    expect(OPEN_PAGES).not.toContain('trends');
    expect(addressOf('mission', 'hear', { mission: 'dunlin-1' })).toBe('#/mission/hear?mission=dunlin-1');
    expect(addressOf(OPEN_PAGES[0] ?? 'now')).toBe('#/');
    expect(readAddress('/trends', '').page).toBeNull();
    expect(readAddress('/', '').page).toBe(OPEN_PAGES[0]);
  });

  it('follows them, and leaves places on a page alone', async () => {
    carry();
    const { address, followLinks, go } = await import('../../../web/address/location.ts');
    const stop = followLinks();
    go('#/frames?mission=dunlin-1');
    expect([address.value.page, address.value.query.get('mission')]).toEqual(['frames', 'dunlin-1']);
    window.history.replaceState(null, '', '#main');
    window.dispatchEvent(new PopStateEvent('popstate'));
    expect(address.value.page).toBe('frames');
    window.history.replaceState(null, '', '#/mission/hear');
    window.dispatchEvent(new PopStateEvent('popstate'));
    expect([address.value.page, address.value.id]).toEqual(['mission', 'hear']);
    stop();
  });
});
