import { getSettings } from '../api/endpoints.ts';
import { useResource } from '../api/use-resource.ts';

/** Scheme, host and port at which others reach these pages: as whoever runs the server says, else as this browser does. */
export function usePublicAddress(): string {
  return useResource('settings', getSettings).value?.publicUrl ?? window.location.origin;
}
