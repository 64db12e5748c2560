import { signal } from '@preact/signals';
import { type Address, readAddress } from './address.ts';

const read = (): Address => readAddress(window.location.pathname, window.location.search);

/** Where the viewer is now. */
export const address = signal<Address>(read());

/**
 * Goes to another address of these pages without loading them anew.
 * @param how `replace` keeps the back button meaningful while a view is only being adjusted
 */
export function go(href: string, how: 'push' | 'replace' = 'push'): void {
  if (href === window.location.pathname + window.location.search) return;
  if (how === 'push') window.history.pushState(null, '', href);
  else window.history.replaceState(null, '', href);
  const before = address.peek();
  address.value = read();
  const moved = before.page !== address.peek().page || before.id !== address.peek().id;
  if (how === 'push' && moved) window.scrollTo(0, 0);
}

/** Makes plain links and the back button work without loading the page anew. Returns the way to undo it. */
export function followLinks(): () => void {
  const onClick = (event: MouseEvent): void => {
    if (event.defaultPrevented || event.button !== 0) return;
    if (event.metaKey || event.ctrlKey || event.shiftKey || event.altKey) return;
    const link = event.target instanceof Element ? event.target.closest('a') : null;
    if (link === null || link.target !== '' || link.hasAttribute('download')) return;
    const url = new URL(link.href, window.location.href);
    if (url.origin !== window.location.origin || url.pathname.startsWith('/api/')) return;
    if (link.getAttribute('href')?.startsWith('#') === true) return;
    event.preventDefault();
    go(url.pathname + url.search);
  };
  const onPop = (): void => {
    address.value = read();
  };
  document.addEventListener('click', onClick);
  window.addEventListener('popstate', onPop);
  return () => {
    document.removeEventListener('click', onClick);
    window.removeEventListener('popstate', onPop);
  };
}
