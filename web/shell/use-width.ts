import type { RefObject } from 'preact';
import { useLayoutEffect, useRef, useState } from 'preact/hooks';

const BEFORE_MEASURED = 720;

/** The width of an element in pixels, kept up to date. */
export function useWidth(): { readonly ref: RefObject<HTMLDivElement | null>; readonly width: number } {
  const ref = useRef<HTMLDivElement>(null);
  const [width, setWidth] = useState(BEFORE_MEASURED);
  useLayoutEffect(() => {
    const element = ref.current;
    if (element === null) return;
    const measure = (): void => {
      if (element.clientWidth > 0) setWidth(element.clientWidth);
    };
    measure();
    const observer = new ResizeObserver(measure);
    observer.observe(element);
    return () => observer.disconnect();
  }, []);
  return { ref, width };
}
