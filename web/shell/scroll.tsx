import type { ComponentChildren } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';

/** What may be larger than its place and then scrolls by itself: it can be reached by keys then, and says what it is. */
export function Scroll({ name, children }: { readonly name: string; readonly children: ComponentChildren }) {
  const place = useRef<HTMLElement>(null);
  const [scrolls, setScrolls] = useState(false);
  useEffect(() => {
    const element = place.current;
    if (element === null) return;
    const look = (): void =>
      setScrolls(element.scrollWidth > element.clientWidth || element.scrollHeight > element.clientHeight);
    const observer = new ResizeObserver(look);
    observer.observe(element);
    for (const child of element.children) observer.observe(child);
    return () => observer.disconnect();
  }, []);
  return (
    <section class="scroll" ref={place} aria-label={scrolls ? name : undefined} tabIndex={scrolls ? 0 : undefined}>
      {children}
    </section>
  );
}
