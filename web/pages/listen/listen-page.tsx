import { useEffect, useRef } from 'preact/hooks';
import { nowMs } from '../../shell/clock.ts';
import { Loading, ProblemNotice } from '../../shell/notices.tsx';
import { site } from '../../site/site.ts';
import { enumerated } from '../../words/enumerated.ts';
import { ageText, clockSecondsText } from '../../words/time.ts';
import { mayCapture } from './capture.ts';
import { definitions, definitionsAreKept, loadDefinitions } from './definitions.ts';
import { FATE } from './fate.ts';
import { HearingView } from './hearing-view.tsx';
import { LevelMeter } from './level-meter.tsx';
import { watchForServer } from './send-kept.ts';
import { Sending } from './sending.tsx';
import { gaps, hearings, input, listeningSinceMs, problem, state } from './session.ts';
import { Spectrogram } from './spectrogram.tsx';
import { Wishes } from './wishes.tsx';
import './listen.css';

/** Of everything the browser keeps, so much is shown at once. */
const SHOWN = 30;

function Insecure() {
  if (site !== null) return <InsecureSite />;
  const here = `http://localhost:${window.location.port || 80}/listen`;
  return (
    <div class="notice problem">
      <p>
        <strong>This address may not use a microphone.</strong> Browsers allow it on the computer itself and over HTTPS
        only.
      </p>
      <ul>
        <li>
          On the computer that runs the server, open <code>{here}</code>.
        </li>
        <li>Elsewhere, ask whoever runs the server for its address that begins with https.</li>
        <li>A recording made with any other program can be handed over under Recordings.</li>
      </ul>
    </div>
  );
}

function InsecureSite() {
  return (
    <div class="notice problem">
      <p>
        <strong>This address may not use a microphone.</strong> Browsers allow it over HTTPS only: try the same address
        with https in front, or ask whoever put these pages here for it.
      </p>
    </div>
  );
}

/** Why it listens no more; brought into view, since on a telephone its place is below the button that was pressed. */
function Stopped() {
  const place = useRef<HTMLDivElement>(null);
  const why = problem.value;
  useEffect(() => {
    if (why !== null) place.current?.scrollIntoView({ block: 'center' });
  }, [why]);
  if (why === null) return null;
  return (
    <div ref={place}>
      <ProblemNotice problem={why} doing="Not listening" />
    </div>
  );
}

/** What the input gives just now. */
function Input() {
  if (listeningSinceMs.value === null) return null;
  const last = hearings.value.at(-1);
  const isNow = last?.provisional === true && !last.over;
  const tones = isNow
    ? [
        { hz: last.markHz, word: 'mark' },
        { hz: last.spaceHz, word: 'space' },
      ]
    : [];
  return (
    <section class="input stack">
      <p class="small">
        Listening to {input.value?.label || 'the input'} since {clockSecondsText(listeningSinceMs.value)} UTC.
      </p>
      {input.value !== null && input.value.keptOn.length > 0 && (
        <p class="wrong">
          The browser refuses to switch off {enumerated(input.value.keptOn)}, which spoils faint tones. Another browser,
          or another input, may do better.
        </p>
      )}
      <LevelMeter />
      <Spectrogram tones={tones} />
    </section>
  );
}

function Gaps() {
  if (gaps.value.length === 0) return null;
  return (
    <ul class="gaps small">
      {gaps.value.slice(-5).map(({ fromMs, toMs }) => (
        <li key={fromMs}>
          {toMs === null
            ? `Interrupted since ${clockSecondsText(fromMs)} UTC; listening goes on by itself.`
            : `Nothing was heard from ${clockSecondsText(fromMs)} to ${clockSecondsText(toMs)} UTC (${((toMs - fromMs) / 1000).toFixed(1)} s): interrupted.`}
        </li>
      ))}
    </ul>
  );
}

/** The page itself as a receiver's decoder: everything is read in this browser. */
export default function ListenPage() {
  useEffect(() => {
    if (definitions.peek() === null || definitionsAreKept.peek()) void loadDefinitions();
    return watchForServer();
  }, []);

  if (definitions.value === null) return <Loading what="what to listen for" />;
  const oldestMs = Math.min(...definitions.value.map(({ fetchedMs }) => fetchedMs));
  const missions = definitions.value.map((one) => one.mission);
  const newest = [...hearings.value].reverse().slice(0, SHOWN);
  return (
    <div class="listen stack">
      <h1>Listen</h1>
      {!mayCapture() && <Insecure />}
      {definitionsAreKept.value && (
        <p class="small faint">
          The server does not answer. Definitions are those fetched {ageText(oldestMs, nowMs.value)}.
        </p>
      )}
      {mayCapture() && <Wishes />}
      <Stopped />
      <Input />
      <Gaps />
      <Sending />
      <div class="hearings stack" aria-live="polite">
        {newest.map((hearing) => (
          <HearingView key={hearing.id} hearing={hearing} missions={missions} />
        ))}
      </div>
      {hearings.value.length === 0 && (
        <p class="faint">
          {state.value === 'listening'
            ? 'No beacon yet. Its characters appear here as they are sent.'
            : `Hold the device to a receiver’s loudspeaker, or lead its sound here by cable. ${FATE.leaving}`}
        </p>
      )}
    </div>
  );
}
