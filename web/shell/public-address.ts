import { getSettings } from '../api/endpoints.ts';
import { useResource } from '../api/use-resource.ts';
import { site } from '../site/site.ts';

/**
 * Scheme, host and port at which others reach the server: as whoever runs it says, else as this browser does. Of a static
 * site the server that it was built for; null when there is none.
 */
export function usePublicAddress(): string | null {
  const settings = useResource(site === null ? 'settings' : null, getSettings).value;
  return site === null ? (settings?.publicUrl ?? window.location.origin) : site.server;
}
