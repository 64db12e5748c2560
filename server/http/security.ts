import fastifyHelmet from '@fastify/helmet';
import type { App } from './app-types.ts';

/** What the pages may do: all of it from here. Plain HTTP on a local network must work, so nothing forces HTTPS. */
export async function secureHeaders(app: App): Promise<void> {
  await app.register(fastifyHelmet, {
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        'default-src': ["'self'"],
        'base-uri': ["'none'"],
        'form-action': ["'self'"],
        'frame-ancestors': ["'none'"],
        'object-src': ["'none'"],
        'script-src': ["'self'", "'wasm-unsafe-eval'"],
        'script-src-attr': ["'none'"],
        'style-src': ["'self'"],
        'style-src-attr': ["'unsafe-inline'"],
        'worker-src': ["'self'"],
        'connect-src': ["'self'"],
        'img-src': ["'self'", 'data:', 'blob:'],
        'media-src': ["'self'", 'blob:'],
        'upgrade-insecure-requests': null,
      },
    },
    strictTransportSecurity: false,
  });
}
