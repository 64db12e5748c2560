import type { Plugin } from 'vite';
import { SITE_ELEMENT, type Site } from './site.ts';

/** As the server's own headers say, for pages that come from any host. */
const POLICY = [
  "default-src 'self'",
  "base-uri 'none'",
  "form-action 'none'",
  "object-src 'none'",
  "script-src 'self' 'wasm-unsafe-eval'",
  "style-src 'self'",
  "style-src-attr 'unsafe-inline'",
  "worker-src 'self'",
  "connect-src 'self'",
  "img-src 'self' data: blob:",
  "media-src 'self' blob:",
].join('; ');

/** Puts missions into the document, which then needs no server. */
export function siteInside(site: Site): Plugin {
  return {
    name: 'site-inside',
    transformIndexHtml: () => [
      { tag: 'meta', attrs: { 'http-equiv': 'Content-Security-Policy', content: POLICY }, injectTo: 'head-prepend' },
      {
        tag: 'script',
        attrs: { type: 'application/json', id: SITE_ELEMENT },
        // nothing in it may end the element
        children: JSON.stringify(site).replaceAll('<', '\\u003c'),
        injectTo: 'head',
      },
    ],
  };
}
