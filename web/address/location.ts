import { signal } from '@preact/signals';
import { site } from '../site/site.ts';
import { type Address, readAddress } from './address.ts';

/** The address as links of these pages write it: a static site has it behind a `#`. */
function here(): string {
  const { pathname, search, hash } = window.location;
  return site === null ? pathname + search : hash;
}

function read(): Address {
  const [path = '', search = ''] = here().replace(/^#/, '').split('?');
  return readAddress(path, search);
}

/** Where the viewer is now. */
export const address = signal<Address>(read());

/**
 * Goes to another address of these pages without loading them anew.
 * @param how `replace` keeps the back button meaningful while a view is only being adjusted
 */
export function go(href: string, how: 'push' | 'replace' = 'push'): void {
  if (href === here()) return;
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
    const href = link.getAttribute('href');
    const isOurs = href?.startsWith('#/') === true;
    if (href?.startsWith('#') === true && !isOurs) return;
    event.preventDefault();
    go(isOurs ? url.hash : url.pathname + url.search);
  };
  const onPop = (): void => {
    // a place on the page that stands
    if (site !== null && !/^(#\/.*)?$/.test(here())) return;
    address.value = read();
  };
  document.addEventListener('click', onClick);
  window.addEventListener('popstate', onPop);
  return () => {
    document.removeEventListener('click', onClick);
    window.removeEventListener('popstate', onPop);
  };
}
