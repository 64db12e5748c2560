import { useState } from 'preact/hooks';
import type { FrameSummary } from '../../../server/http/messages.ts';
import { queryText } from '../../address/address.ts';
import { address, go } from '../../address/location.ts';
import { getFrames } from '../../api/endpoints.ts';
import { touchesMission, useNews } from '../../api/use-news.ts';
import { useResource } from '../../api/use-resource.ts';
import { Moment } from '../../marks/moment.tsx';
import { TrustMark, UnvouchedMark } from '../../marks/trust-mark.tsx';
import { CALL_SIGN_HINT, readCallSign } from '../../shell/call-sign.ts';
import { hrefOf, phase } from '../../shell/missions.ts';
import { Empty, Loading, ProblemNotice } from '../../shell/notices.tsx';
import { useMedia } from '../../shell/use-media.ts';
import { UtcInput } from '../../shell/utc-input.tsx';
import { LEAST_TRUST, type LeastTrust, type LogView, logQuery, readLogView } from './log-view.ts';

const PAGE = 50;
/** Narrower, the filters would stand before every frame of the first screen. */
const WIDE = '(min-width: 40.01rem)';
const TRUST_WORDS: Readonly<Record<LeastTrust, string>> = {
  confirmed: 'confirmed only',
  probable: 'confirmed and probable',
  doubtful: 'all, doubtful too',
};

const toTrust = (text: string): LeastTrust => LEAST_TRUST.find((one) => one === text) ?? 'doubtful';

function show(view: LogView): void {
  go(hrefOf('frames', null, logQuery(view)));
}

function Filters({ view }: { readonly view: LogView }) {
  const [station, setStation] = useState(view.station);
  const [fromMs, setFrom] = useState(view.fromMs);
  const [toMs, setTo] = useState(view.toMs);
  const callSign = readCallSign(station);
  const unreadable = station.trim() !== '' && callSign === null;
  const apply = (trust: LeastTrust): void => {
    if (!unreadable) show({ trust, station: callSign ?? '', fromMs, toMs, after: null });
  };
  return (
    <form
      class="filters unprinted"
      onSubmit={(event) => {
        event.preventDefault();
        apply(view.trust);
      }}
    >
      <label>
        <span>Trust</span>
        <select value={view.trust} onChange={(event) => apply(toTrust(event.currentTarget.value))}>
          {LEAST_TRUST.map((trust) => (
            <option key={trust} value={trust}>
              {TRUST_WORDS[trust]}
            </option>
          ))}
        </select>
      </label>
      <label>
        <span>Station</span>
        <input
          value={station}
          placeholder="any"
          size={10}
          spellcheck={false}
          aria-invalid={unreadable}
          onInput={(event) => setStation(event.currentTarget.value)}
        />
        {unreadable && <span class="small wrong">{CALL_SIGN_HINT}</span>}
      </label>
      <UtcInput label="From, UTC" valueMs={fromMs} onChange={setFrom} />
      <UtcInput label="To, UTC" valueMs={toMs} onChange={setTo} />
      <button type="submit">Show</button>
    </form>
  );
}

function LogRow({ frame }: { readonly frame: FrameSummary }) {
  return (
    <li class={frame.trust === 'doubtful' ? 'log-row doubtful' : 'log-row'}>
      <span class="when">
        <Moment at={frame.receivedAt} />
      </span>
      <span class="who">
        {frame.station} {!frame.vouched && <UnvouchedMark />}
      </span>
      <TrustMark trust={frame.trust} />
      <a href={hrefOf('frames', frame.id)}>
        <code>{frame.text}</code>
      </a>
    </li>
  );
}

/** All frames of a mission, newest first, filtered as the address says. */
export function FrameLog({ mission }: { readonly mission: string }) {
  const { query } = address.value;
  const view = readLogView(query);
  const asked = logQuery(view);
  const { value, problem, loading, reload } = useResource(
    `frames ${mission} ${phase.value}`,
    (signal) => getFrames(mission, { ...asked, phase: phase.value, limit: PAGE }, signal),
    queryText(asked),
  );
  useNews((note) => touchesMission(note, mission), reload);
  const filtered = view.trust !== 'doubtful' || view.station !== '' || view.fromMs !== null || view.toMs !== null;
  const wide = useMedia(WIDE);
  const filters = <Filters key={queryText(asked)} view={view} />;
  return (
    <section class="stack">
      <h2>All frames</h2>
      {wide ? (
        filters
      ) : (
        <details open={filtered}>
          <summary>Filter</summary>
          {filters}
        </details>
      )}
      {problem !== null && <ProblemNotice problem={problem} doing="The frames could not be listed" onRetry={reload} />}
      {value === null && loading && <Loading what="the frames" />}
      {value !== null && value.frames.length === 0 && (
        <Empty title={filtered ? 'No frame fits these filters' : 'No frame yet'}>
          {filtered ? (
            <button
              type="button"
              onClick={() => show({ trust: 'doubtful', station: '', fromMs: null, toMs: null, after: null })}
            >
              Show all frames
            </button>
          ) : (
            <p>
              Every frame that is read from a recording, or sent as a line, stands here. Type a line above, or{' '}
              <a href={hrefOf('recordings')}>send a recording</a>.
            </p>
          )}
        </Empty>
      )}
      {value !== null && value.frames.length > 0 && (
        <>
          <ol class="frame-log" aria-busy={loading}>
            {value.frames.map((frame) => (
              <LogRow key={frame.id} frame={frame} />
            ))}
          </ol>
          <p class="row unprinted">
            {view.after !== null && (
              <button type="button" onClick={() => show({ ...view, after: null })}>
                Newest
              </button>
            )}
            {value.next !== null && (
              <button type="button" onClick={() => show({ ...view, after: value.next })}>
                Older
              </button>
            )}
          </p>
        </>
      )}
    </section>
  );
}
