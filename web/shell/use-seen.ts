import type { RefObject } from 'preact';
import { useEffect, useState } from 'preact/hooks';

/** So far below the screen is near enough to begin. */
const NEAR = '400px';

/** Whether an element has been on the screen, or nearly: what costs is begun only then. */
export function useSeen(element: RefObject<Element | null>): boolean {
  const [seen, setSeen] = useState(false);
  useEffect(() => {
    if (seen || element.current === null) return;
    const observer = new IntersectionObserver(
      (entries) => {
        if (entries.some(({ isIntersecting }) => isIntersecting)) setSeen(true);
      },
      { rootMargin: NEAR },
    );
    observer.observe(element.current);
    return () => observer.disconnect();
  }, [seen, element]);
  return seen;
}
