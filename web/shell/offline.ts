import { site } from '../site/site.ts';

/** Has the browser keep these pages for when there is no network, where it can. */
export function registerServiceWorker(): void {
  // the development server has none
  const root = site === null ? '/' : './';
  navigator.serviceWorker?.register(new URL(`${root}service-worker.js`, document.baseURI)).catch(() => {});
}
