import { bytesText, countText } from '../../words/number.ts';
import { utcText } from '../../words/time.ts';
import { fileNameOf, forgetKept, type KeptAudio } from './kept-audio.ts';
import { kept, sendKept } from './send-kept.ts';

function save({ wav, startMs, station }: KeptAudio): void {
  const url = URL.createObjectURL(wav);
  const link = document.createElement('a');
  link.href = url;
  link.download = `${station}-${fileNameOf(startMs)}`;
  link.click();
  // the browser has begun to read it by then
  window.setTimeout(() => URL.revokeObjectURL(url), 60_000);
}

async function forget(key: number): Promise<void> {
  await forgetKept(key);
  await sendKept();
}

/** Of a static site: what was heard stays in this browser until it is forgotten, and can be saved as files. */
export function KeptHere({ server }: { readonly server: string | null }) {
  const all = kept.value;
  if (all.length === 0) return null;
  const bytes = all.reduce((sum, { wav }) => sum + wav.size, 0);
  return (
    <section class="stack">
      <p>
        {countText(all.length, 'recording')} ({bytesText(bytes)}) kept in this browser. These pages send nothing: save
        what is to be handed over, and{' '}
        {server === null ? (
          'give it to the mission’s team yourself.'
        ) : (
          <>
            take it to <a href={`${server}/recordings`}>{new URL(server).host}</a>.
          </>
        )}
      </p>
      <ul class="kept-here stack">
        {[...all].reverse().map((audio) => (
          <li key={audio.key} class="row">
            <span>{utcText(audio.startMs)}</span>
            <span>{audio.seconds.toFixed(1)} s</span>
            {audio.text !== '' && <code class="frame-text">{audio.text}</code>}
            <button type="button" onClick={() => save(audio)}>
              Save
            </button>
            <button type="button" onClick={() => void forget(audio.key)}>
              Forget
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
}
