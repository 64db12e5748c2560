import { useState } from 'preact/hooks';
import type { Now } from '../../../server/http/messages.ts';
import type { TimeWindow } from '../../charts/time-window.ts';
import { UtcInput } from '../../shell/utc-input.tsx';
import { byGroup } from '../now/groups.ts';
import { RANGES, type Range, type RangeName, type TrendsView } from './view.ts';

interface ControlsProps {
  readonly now: Now;
  readonly view: TrendsView;
  /** What is shown: what was asked for, or the usual. */
  readonly parameters: readonly string[];
  readonly window: TimeWindow;
  readonly onView: (view: TrendsView) => void;
  readonly onRange: (range: Range) => void;
  readonly onPan: (share: number) => void;
  readonly onZoom: (factor: number) => void;
}

const isRangeName = (name: string): name is RangeName => Object.hasOwn(RANGES, name);

function ParameterChoice({ now, view, parameters, onView }: ControlsProps) {
  const { places, others } = byGroup(now.parameters);
  const toggle = (id: string, on: boolean): void => {
    const kept = parameters.filter((one) => one !== id);
    const order = now.parameters.map(({ parameter }) => parameter);
    const next = on ? order.filter((one) => one === id || kept.includes(one)) : kept;
    onView({ ...view, parameters: next });
  };
  return (
    <details class="choice">
      <summary>
        Parameters: {parameters.length} of {now.parameters.length}
      </summary>
      <div class="parameter-groups">
        {[...places, ...others].map((group) => (
          <fieldset key={group.id}>
            <legend class="small faint">{group.title}</legend>
            {group.parameters.map(({ parameter, name }) => (
              <label class="check" key={parameter}>
                <input
                  type="checkbox"
                  checked={parameters.includes(parameter)}
                  disabled={parameters.length === 1 && parameters.includes(parameter)}
                  onChange={(event) => toggle(parameter, event.currentTarget.checked)}
                />
                {name}
              </label>
            ))}
          </fieldset>
        ))}
      </div>
    </details>
  );
}

function FromTo({ window, onRange }: Pick<ControlsProps, 'window' | 'onRange'>) {
  const [fromMs, setFrom] = useState<number | null>(window.fromMs);
  const [toMs, setTo] = useState<number | null>(window.toMs);
  const fits = fromMs !== null && toMs !== null && fromMs < toMs;
  return (
    <form
      class="row from-to"
      onSubmit={(event) => {
        event.preventDefault();
        if (fits) onRange({ fromMs, toMs });
      }}
    >
      <UtcInput label="From, UTC" valueMs={fromMs} onChange={setFrom} />
      <UtcInput label="To, UTC" valueMs={toMs} onChange={setTo} />
      <button type="submit" disabled={!fits}>
        Show
      </button>
      {!fits && <p class="small">“From” must be a time before “to”.</p>}
    </form>
  );
}

/** What to show, and of which time. */
export function Controls(props: ControlsProps) {
  const { view, window, onView, onRange, onPan, onZoom } = props;
  const { range } = view;
  const named = 'last' in range ? range.last : '';
  const [fromTo, setFromTo] = useState(false);
  return (
    <div class="controls unprinted">
      <div class="row">
        <label>
          <span class="only-heard">Stretch of time</span>
          <select
            value={named}
            onChange={(event) => {
              const name = event.currentTarget.value;
              if (isRangeName(name)) onRange({ last: name });
            }}
          >
            {named === '' && <option value="">own range</option>}
            {Object.entries(RANGES).map(([name, { words }]) => (
              <option key={name} value={name}>
                last {words}
              </option>
            ))}
          </select>
        </label>
        <fieldset class="joined">
          <legend class="only-heard">Move and zoom</legend>
          <button type="button" onClick={() => onPan(-0.5)} aria-label="Earlier">
            ←
          </button>
          <button type="button" onClick={() => onPan(0.5)} aria-label="Later">
            →
          </button>
          <button type="button" onClick={() => onZoom(0.5)} aria-label="Zoom in">
            +
          </button>
          <button type="button" onClick={() => onZoom(2)} aria-label="Zoom out">
            −
          </button>
        </fieldset>
        <button type="button" aria-expanded={fromTo} onClick={() => setFromTo(!fromTo)}>
          From – to
        </button>
        <label class="check">
          <input
            type="checkbox"
            checked={view.doubtful}
            onChange={(event) => onView({ ...view, doubtful: event.currentTarget.checked })}
          />
          Doubtful readings too
        </label>
      </div>
      {fromTo && <FromTo key={`${window.fromMs} ${window.toMs}`} window={window} onRange={onRange} />}
      <ParameterChoice {...props} />
    </div>
  );
}
