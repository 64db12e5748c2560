import { useEffect, useRef, useState } from 'preact/hooks';
import { readCallSign } from '../../shell/call-sign.ts';
import { CallSignInput } from '../../shell/call-sign-input.tsx';
import { nowMs } from '../../shell/clock.ts';
import { keep, recall } from '../../shell/kept.ts';
import { mission, phase } from '../../shell/missions.ts';
import { Loading, ProblemNotice } from '../../shell/notices.tsx';
import { site } from '../../site/site.ts';
import { enumerated } from '../../words/enumerated.ts';
import { ageText, clockSecondsText } from '../../words/time.ts';
import { listInputs, mayCapture } from './capture.ts';
import { definitions, definitionsAreKept, loadDefinitions } from './definitions.ts';
import { HearingView } from './hearing-view.tsx';
import { LevelMeter } from './level-meter.tsx';
import { watchForServer } from './send-kept.ts';
import { Sending } from './sending.tsx';
import { begin, end, gaps, hearings, input, listeningSinceMs, problem, state } from './session.ts';
import { Spectrogram } from './spectrogram.tsx';
import './listen.css';

const ANY = 'any';
/** Of everything the browser keeps, so much is shown at once. */
const SHOWN = 30;

/** What becomes of what is heard. */
const FATE =
  site === null
    ? {
        withoutCallSign: 'Without a call sign nothing is kept or sent: what is heard is shown here and then gone.',
        withCallSign: 'Each burst is kept in this browser until the server has it.',
        everything: 'Keep and send everything, not the bursts alone. It may hold the room and other people’s voices.',
        leaving: 'Nothing leaves the device but the bursts, and only under a call sign.',
      }
    : {
        withoutCallSign: 'Without a call sign nothing is kept: what is heard is shown here and then gone.',
        withCallSign: 'Each burst is kept in this browser, and can be saved as a file. These pages send nothing.',
        everything: 'Keep everything, not the bursts alone. It may hold the room and other people’s voices.',
        leaving: 'Nothing leaves the device: these pages have no server.',
      };

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

/** What is said and chosen before listening begins. */
function Wishes() {
  const [inputs, setInputs] = useState<readonly MediaDeviceInfo[]>([]);
  const [deviceId, setDevice] = useState('');
  // without a network the missions are those that this browser kept
  const [chosen, setChosen] = useState(mission.value?.id ?? definitions.value?.[0]?.mission.id ?? ANY);
  const [station, setStation] = useState(recall('call-sign') ?? '');
  const [keepAll, setKeepAll] = useState(false);
  const callSign = readCallSign(station);
  const all = (definitions.value ?? []).map((one) => one.mission);
  const listening = state.value !== 'idle';

  useEffect(() => {
    const look = (): void => void listInputs().then(setInputs);
    look();
    navigator.mediaDevices.addEventListener('devicechange', look);
    return () => navigator.mediaDevices.removeEventListener('devicechange', look);
  }, [listening]);

  const start = (): void => {
    if (callSign !== null) keep('call-sign', callSign);
    const missions = all.some(({ id }) => id === chosen) ? all.filter(({ id }) => id === chosen) : all;
    const what = { missions, mission: chosen, station: callSign, phase: phase.peek(), keepAll };
    void begin({ deviceId: deviceId === '' ? null : deviceId, ...what });
  };

  return (
    <form
      class="wishes"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        if (listening) void end();
        else start();
      }}
    >
      <fieldset class="wish-fields" disabled={listening}>
        <label>
          <span>Input</span>
          <select value={deviceId} onChange={(event) => setDevice(event.currentTarget.value)}>
            <option value="">as the device chooses</option>
            {inputs.map(({ deviceId: id, label }, i) => (
              <option key={id} value={id}>
                {label || `input ${i + 1}`}
              </option>
            ))}
          </select>
          <span class="small faint">Microphone, line, or a cable from another program.</span>
        </label>
        <label>
          <span>Satellite</span>
          <select value={chosen} onChange={(event) => setChosen(event.currentTarget.value)}>
            {all.map(({ id, name }) => (
              <option key={id} value={id}>
                {name}
              </option>
            ))}
            <option value={ANY}>whichever it is</option>
          </select>
          <span class="small faint">Any beacon is heard; of a known one each character shows at once.</span>
        </label>
        <CallSignInput value={station} wrong={station !== '' && callSign === null} onChange={setStation} />
      </fieldset>
      <label class="choice">
        <input
          type="checkbox"
          checked={keepAll}
          disabled={listening}
          onChange={(event) => setKeepAll(event.currentTarget.checked)}
        />
        <span>{FATE.everything}</span>
      </label>
      <p class="small faint">{callSign === null ? FATE.withoutCallSign : FATE.withCallSign}</p>
      <button type="submit" class="primary begin" disabled={state.value === 'opening' || state.value === 'ending'}>
        {listening ? 'Stop' : 'Listen'}
      </button>
    </form>
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
      <ProblemNotice problem={why} doing="Listening stopped" />
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
