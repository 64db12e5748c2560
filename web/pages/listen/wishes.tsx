import { useEffect, useState } from 'preact/hooks';
import { readCallSign } from '../../shell/call-sign.ts';
import { CallSignInput } from '../../shell/call-sign-input.tsx';
import { keep, recall } from '../../shell/kept.ts';
import { mission, phase } from '../../shell/missions.ts';
import { listInputs } from './capture.ts';
import { definitions } from './definitions.ts';
import { FATE } from './fate.ts';
import { begin, end, state } from './session.ts';

const ANY = 'any';

interface Chosen {
  /** Empty for the input that the device prefers. */
  readonly deviceId: string;
  /** A mission's id, or `any`. */
  readonly satellite: string;
  /** As it was typed. */
  readonly station: string;
  readonly keepAll: boolean;
}

/** What the session that runs was begun with: it goes on while the viewer is on other pages. */
let begun: Chosen | null = null;

function usual(): Chosen {
  // without a network the missions are those that this browser kept
  const satellite = mission.value?.id ?? definitions.value?.[0]?.mission.id ?? ANY;
  return { deviceId: '', satellite, station: recall('call-sign') ?? '', keepAll: false };
}

/** What was chosen, in one line: `Dunlin-1, Q1LARK, bursts kept`. */
export function chosenText(satellite: string | null, callSign: string | null, keepAll: boolean): string {
  const kept = callSign === null ? 'nothing kept' : keepAll ? 'everything kept' : 'bursts kept';
  return [satellite ?? 'any satellite', callSign ?? 'no call sign', kept].join(', ');
}

/** What is said and chosen before listening begins; one line of it remains while it goes on. */
export function Wishes() {
  const listening = state.value !== 'idle';
  const [inputs, setInputs] = useState<readonly MediaDeviceInfo[]>([]);
  const [chosen, setChosen] = useState<Chosen>(() => (listening && begun !== null ? begun : usual()));
  const [opened, setOpened] = useState(false);
  const { deviceId, satellite, station, keepAll } = chosen;
  const callSign = readCallSign(station);
  const all = (definitions.value ?? []).map((one) => one.mission);
  const known = all.find(({ id }) => id === satellite);
  const choose = (change: Partial<Chosen>): void => setChosen({ ...chosen, ...change });

  useEffect(() => {
    const { mediaDevices } = navigator;
    const look = (): void => void listInputs().then(setInputs);
    look();
    mediaDevices.addEventListener('devicechange', look);
    return () => mediaDevices.removeEventListener('devicechange', look);
  }, [listening]);

  const start = (): void => {
    if (callSign !== null) keep('call-sign', callSign);
    begun = chosen;
    const missions = known === undefined ? all : [known];
    const what = { missions, mission: satellite, station: callSign, phase: phase.peek(), keepAll };
    void begin({ deviceId: deviceId === '' ? null : deviceId, ...what });
  };

  return (
    <form
      class={listening ? 'wishes running' : 'wishes'}
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        if (listening) void end();
        else start();
      }}
    >
      <details open={!listening || opened} onToggle={(event) => listening && setOpened(event.currentTarget.open)}>
        <summary>{chosenText(known?.name ?? null, callSign, keepAll)}</summary>
        <div class="stack">
          {listening && <p class="small faint">Stop first to change this.</p>}
          <fieldset class="wish-fields" disabled={listening}>
            <label>
              <span>Input</span>
              <select value={deviceId} onChange={(event) => choose({ deviceId: event.currentTarget.value })}>
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
              <select value={satellite} onChange={(event) => choose({ satellite: event.currentTarget.value })}>
                {all.map(({ id, name }) => (
                  <option key={id} value={id}>
                    {name}
                  </option>
                ))}
                <option value={ANY}>whichever it is</option>
              </select>
              <span class="small faint">Any beacon is heard; of a known one each character shows at once.</span>
            </label>
            <CallSignInput
              value={station}
              wrong={station !== '' && callSign === null}
              onChange={(typed) => choose({ station: typed })}
            />
          </fieldset>
          <label class="check">
            <input
              type="checkbox"
              checked={keepAll}
              disabled={listening}
              onChange={(event) => choose({ keepAll: event.currentTarget.checked })}
            />
            <span>{FATE.everything}</span>
          </label>
          <p class="small faint">{callSign === null ? FATE.withoutCallSign : FATE.withCallSign}</p>
        </div>
      </details>
      <button type="submit" class="primary begin" disabled={state.value === 'opening' || state.value === 'ending'}>
        {listening ? 'Stop' : 'Listen'}
      </button>
    </form>
  );
}
