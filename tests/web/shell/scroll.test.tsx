import { act } from 'preact/test-utils';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { Scroll } from '../../../web/shell/scroll.tsx';
import { show } from '../support/render.ts';

/** Measures only when it is told to; happy-dom lays nothing out. */
class FakeObserver {
  static look: () => void = () => {};
  constructor(look: () => void) {
    FakeObserver.look = look;
  }
  observe(): void {}
  disconnect(): void {}
}

async function showSized(width: number, inside: number): Promise<Element> {
  vi.stubGlobal('ResizeObserver', FakeObserver);
  const root = await show(<Scroll name="The fields">wide</Scroll>);
  const element = root.querySelector('.scroll');
  if (element === null) throw new Error('nothing is shown');
  await resize(element, width, inside);
  return element;
}

async function resize(element: Element, width: number, inside: number): Promise<void> {
  Object.defineProperty(element, 'clientWidth', { value: width, configurable: true });
  Object.defineProperty(element, 'scrollWidth', { value: inside, configurable: true });
  await act(async () => FakeObserver.look());
}

afterEach(() => vi.unstubAllGlobals());

describe('what may be larger than its place', () => {
  it('can be reached by keys and says its name while it scrolls', async () => {
    const element = await showSized(300, 500);
    expect(element.getAttribute('tabindex')).toBe('0');
    expect(element.getAttribute('aria-label')).toBe('The fields');
  });

  it('is no stop on the way while all of it fits', async () => {
    const element = await showSized(500, 500);
    expect(element.hasAttribute('tabindex')).toBe(false);
    expect(element.hasAttribute('aria-label')).toBe(false);
    await resize(element, 300, 500);
    expect(element.getAttribute('tabindex')).toBe('0');
    await resize(element, 500, 500);
    expect(element.hasAttribute('tabindex')).toBe(false);
  });
});
