import { hrefOf } from '../../shell/missions.ts';
import { site } from '../../site/site.ts';
import { bytesText, countText } from '../../words/number.ts';
import { forgetKept } from './kept-audio.ts';
import { KeptHere } from './kept-here.tsx';
import { arrived, keepingProblem, kept, retryRefused, sending, sendKept } from './send-kept.ts';

async function forgetRefused(): Promise<void> {
  for (const { key, refused } of kept.peek()) if (refused !== null) await forgetKept(key);
  await sendKept();
}

/** What became of what was heard: at the server, or still here. */
export function Sending() {
  return (
    <div class="sending stack" role="status">
      {keepingProblem.value !== null && (
        <p class="wrong">This browser keeps nothing ({keepingProblem.value}): what is heard is lost with the page.</p>
      )}
      {site === null ? <OnItsWay /> : <KeptHere server={site.server} />}
    </div>
  );
}

function OnItsWay() {
  const waiting = kept.value.filter(({ refused }) => refused === null);
  const refused = kept.value.filter((one) => one.refused !== null);
  const bytes = waiting.reduce((sum, { wav }) => sum + wav.size, 0);
  return (
    <>
      {waiting.length > 0 && (
        <p>
          {countText(waiting.length, 'recording')} ({bytesText(bytes)}) kept in this browser
          {sending.value ? ', being sent.' : ' until the server can be reached. It is tried again by itself.'}
        </p>
      )}
      {refused.length > 0 && (
        <div class="row">
          <span class="wrong">
            {countText(refused.length, 'recording')} not taken: {refused[0]?.refused}
          </span>
          <button type="button" onClick={() => void retryRefused()}>
            Try again
          </button>
          <button type="button" onClick={() => void forgetRefused()}>
            Forget
          </button>
        </div>
      )}
      {arrived.value.length > 0 && (
        <p>
          {countText(arrived.value.length, 'recording')} at the server:{' '}
          {arrived.value.slice(-5).map((id) => (
            <a key={id} href={hrefOf('recordings', id)}>
              {id}
            </a>
          ))}
        </p>
      )}
    </>
  );
}
