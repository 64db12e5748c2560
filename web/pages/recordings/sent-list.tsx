import { useEffect, useRef } from 'preact/hooks';
import { hrefOf } from '../../shell/missions.ts';
import { bytesText, countText } from '../../words/number.ts';
import { outcomeText } from '../../words/outcome.ts';
import { clearDone, retry, type Sent, type Stage, sent } from './uploads.ts';

const DONE: readonly Stage[] = ['cut', 'decoded', 'failed', 'refused'];

function words(one: Sent): string {
  switch (one.stage) {
    case 'reading':
      return `is read in this browser, ${Math.round(one.share * 100)} %, ${countText(one.bursts, 'burst')} so far`;
    case 'cut':
      return `was read in this browser: ${countText(one.bursts, 'burst')}, sent alone`;
    case 'sending':
      return `${Math.round(one.share * 100)} % of ${bytesText(one.bytes)} sent`;
    case 'refused':
      return `was not taken: ${one.problem?.message ?? ''}`;
    case 'failed':
      return `could not be decoded: ${one.failure ?? ''}`;
    default:
      return outcomeText({ ...one, status: one.stage, progress: one.share });
  }
}

function SentRow({ one }: { readonly one: Sent }) {
  const running = !DONE.includes(one.stage);
  return (
    <li class={`sent ${one.stage}`}>
      <span class="name">{one.name}</span>
      <span class="words">{words(one)}</span>
      {running && (
        <progress
          aria-label={`${one.name}, ${one.stage}`}
          value={one.stage === 'waiting' || (one.stage === 'reading' && one.share === 0) ? undefined : one.share}
          max={1}
        />
      )}
      {one.lastText !== null && running && <code>{one.lastText}</code>}
      {one.stage === 'refused' && (
        <span class="row">
          <button type="button" onClick={() => void retry(one.key)}>
            Try again<span class="only-heard"> to send {one.name}</span>
          </button>
        </span>
      )}
      {one.id !== null && !running && (
        <span class="row">
          <a class="button" href={hrefOf('recordings', one.id)}>
            {one.frames > 0 ? 'See its frames' : 'See it'}
          </a>
          {one.frames > 0 && (
            <a class="button" href={hrefOf('trends')}>
              To the trends
            </a>
          )}
        </span>
      )}
    </li>
  );
}

/** What went out from this page, and what became of it; brought into view, since on a telephone it is below the form. */
export function SentList() {
  const all = sent.value;
  const place = useRef<HTMLElement>(null);
  const shown = useRef(all.length);
  useEffect(() => {
    if (all.length > shown.current) place.current?.scrollIntoView({ block: 'nearest' });
    shown.current = all.length;
  }, [all.length]);
  if (all.length === 0) return null;
  const refused = all.filter(({ stage }) => stage === 'refused');
  return (
    <section class="stack" aria-label="Sent from here" ref={place}>
      <ol class="sent-list" aria-live="polite">
        {all.map((one) => (
          <SentRow key={one.key} one={one} />
        ))}
      </ol>
      {all.some(({ stage }) => DONE.includes(stage)) && (
        <p class="row">
          {refused.length > 1 && (
            <button type="button" onClick={() => refused.forEach(({ key }) => void retry(key))}>
              Try all {refused.length} again
            </button>
          )}
          <button type="button" onClick={clearDone}>
            Clear what is done
          </button>
        </p>
      )}
    </section>
  );
}
