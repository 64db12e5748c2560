import type { ComponentChildren } from 'preact';
import './facts.css';

/** Facts as a printed list: the name in front, what is known behind it. */
export function Facts({ children }: { readonly children: ComponentChildren }) {
  return <dl class="facts">{children}</dl>;
}

export function Fact({ name, children }: { readonly name: string; readonly children: ComponentChildren }) {
  return (
    <div>
      <dt>{name}</dt>
      <dd>{children}</dd>
    </div>
  );
}

/** A SHA-256 in full, to be compared or copied. */
export function Hash({ sha256 }: { readonly sha256: string }) {
  return <code class="hash">{sha256}</code>;
}
