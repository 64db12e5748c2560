/** Has the browser keep these pages for when there is no network, where it can. */
export function registerServiceWorker(): void {
  // the development server has none
  navigator.serviceWorker?.register(new URL('service-worker.js', document.baseURI)).catch(() => {});
}
