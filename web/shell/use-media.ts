import { useEffect, useState } from 'preact/hooks';

/** Whether a media query holds, kept up to date. */
export function useMedia(query: string): boolean {
  const [holds, setHolds] = useState(() => window.matchMedia(query).matches);
  useEffect(() => {
    const list = window.matchMedia(query);
    const update = (): void => setHolds(list.matches);
    update();
    list.addEventListener('change', update);
    return () => list.removeEventListener('change', update);
  }, [query]);
  return holds;
}
