import type { Trust } from '../../decoders/frames/types.ts';
import './marks.css';

const MEANING: Readonly<Record<Trust, string>> = {
  confirmed: 'confirmed: the checksum or a second station agrees',
  probable: 'probable: read with little doubt, but nothing else agrees yet',
  doubtful: 'doubtful: the text may have been read wrongly',
};

/**
 * The one mark of trust: dot, ring or broken ring. Its word follows, or is left to the title and the screen reader.
 */
export function TrustMark({ trust, word = true }: { readonly trust: Trust; readonly word?: boolean }) {
  return (
    <span class={`mark trust ${trust}`} title={MEANING[trust]}>
      <svg viewBox="0 0 12 12" aria-hidden="true">
        <circle cx="6" cy="6" r={trust === 'confirmed' ? 5 : 4.2} />
      </svg>
      <span class={word ? undefined : 'only-heard'}>{trust}</span>
    </span>
  );
}

/** Says that no known station stands for what is shown; the same cross marks such points in charts. */
export function UnvouchedMark({ word = true }: { readonly word?: boolean }) {
  return (
    <span class="mark unvouched" title="unvouched: no known station stands for it, and a checksum can be forged">
      <svg viewBox="0 0 12 12" aria-hidden="true">
        <path d="M2 2 L10 10 M10 2 L2 10" />
      </svg>
      <span class={word ? undefined : 'only-heard'}>unvouched</span>
    </span>
  );
}
