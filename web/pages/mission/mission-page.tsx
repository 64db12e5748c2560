import { Fragment } from 'preact';
import type { FrameLayout, Mission, Parameter } from '../../../decoders/mission/types.ts';
import { getDefinition } from '../../api/definition.ts';
import { touchesMission, useNews } from '../../api/use-news.ts';
import { useResource } from '../../api/use-resource.ts';
import { Moment } from '../../marks/moment.tsx';
import { mission as current, hrefOf } from '../../shell/missions.ts';
import { Loading, ProblemNotice } from '../../shell/notices.tsx';
import { usePublicAddress } from '../../shell/public-address.ts';
import { Scroll } from '../../shell/scroll.tsx';
import { site } from '../../site/site.ts';
import { beaconText } from '../../words/beacon.ts';
import { boundsText } from '../../words/condition.ts';
import { unitText } from '../../words/number.ts';
import { layoutPieces } from './layout-text.ts';
import './mission.css';

function Layout({ frame }: { readonly frame: FrameLayout }) {
  return (
    <li>
      <h3>{frame.id}</h3>
      <code class="layout">
        {layoutPieces(frame.layout).map(({ kind, text, name }, i) => (
          <span key={i} class={kind}>
            <small>{name}</small>
            <span>{text}</span>
          </span>
        ))}
      </code>
      {frame.repeats > 1 && <p class="small faint">sent {frame.repeats} times in a row</p>}
    </li>
  );
}

/** The limits in force, each told in one piece. */
function limitTexts({ limits, unit }: Parameter): string[] {
  const sets = limits.at(-1)?.value ?? [];
  return sets.flatMap(({ soft, hard, when }) =>
    [
      soft === undefined ? '' : `soft ${boundsText(soft, unit ?? null)}`,
      hard === undefined ? '' : `hard ${boundsText(hard, unit ?? null)}`,
      when === undefined ? '' : `depending on ${when.parameter}`,
    ].filter((text) => text !== ''),
  );
}

function sourceText({ source }: Parameter): string {
  switch (source.source) {
    case 'field': {
      const bits =
        source.bits === undefined
          ? ''
          : source.bits[0] === source.bits[1]
            ? `, bit ${source.bits[0]}`
            : `, bits ${source.bits.join(' to ')}`;
      return `${source.ref.frame === undefined ? '' : `${source.ref.frame}.`}${source.ref.field}${bits}`;
    }
    case 'join':
      return source.refs.map(({ field }) => field).join(' + ');
    case 'derive':
      return `${source.operation} of ${source.of.join(', ')}`;
  }
}

function Parameters({ mission }: { readonly mission: Mission }) {
  return (
    <Scroll name="The parameters">
      <table>
        <thead>
          <tr>
            <th scope="col">Parameter</th>
            <th scope="col">Unit</th>
            <th scope="col" class="from">
              From
            </th>
            <th scope="col">Limits</th>
          </tr>
        </thead>
        <tbody>
          {mission.parameters.map((parameter) => (
            <tr key={parameter.id}>
              <th scope="row">{parameter.name}</th>
              <td>{parameter.unit === undefined ? '' : unitText(parameter.unit)}</td>
              <td class="from faint">{sourceText(parameter)}</td>
              <td>
                {limitTexts(parameter).map((text, i) => (
                  <Fragment key={i}>
                    {i > 0 && ' '}
                    <span class="limit">{text}</span>
                  </Fragment>
                ))}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </Scroll>
  );
}

function HowToSend({ mission }: { readonly mission: Mission }) {
  const origin = usePublicAddress();
  if (site !== null || origin === null) return null;
  return (
    <section class="stack">
      <h2>How to send what you heard</h2>
      <p>
        Receiving needs no licence in most countries; transmitting does, and nothing here transmits. Send{' '}
        <a href={hrefOf('recordings')}>a recording</a> of a whole pass, or <a href={hrefOf('frames')}>a line</a> you
        read yourself. Programs do the same:
      </p>
      <pre class="example">
        {`curl -F mission=${mission.id} -F station=YOUR-CALL -F startedAt=2031-05-04T09:12:07Z \\\n  -F file=@pass.wav ${origin}/api/recordings`}
      </pre>
      <pre class="example">
        {`curl -H 'Content-Type: application/json' ${origin}/api/frames \\\n  -d '{"mission":"${mission.id}","station":"YOUR-CALL","receivedAt":"2031-05-04T09:12:07Z","text":"${mission.callSign} ..."}'`}
      </pre>
    </section>
  );
}

/** What the definition says: how the beacon is keyed, its frames, its parameters, and how to give what was heard. */
export default function MissionPage({ mission: id }: { readonly mission: string }) {
  const {
    value: mission,
    problem,
    reload,
  } = useResource(`definition ${id}`, (signal) => getDefinition(id, null, signal));
  useNews((note) => note.type === 'mission' && touchesMission(note, id), reload);
  if (mission === null) {
    return problem === null ? (
      <Loading what="the definition" />
    ) : (
      <ProblemNotice page problem={problem} doing="The definition could not be shown" onRetry={reload} />
    );
  }
  const { battery } = mission;
  const summary = current.value;
  return (
    <>
      <section class="stack">
        <h1>
          {mission.name} <span class="faint call-sign">{mission.callSign}</span>
        </h1>
        <p class="prose">{beaconText(mission)}</p>
        {battery !== undefined && (
          <p class="prose">
            Its battery has {battery.cellsInSeries} {battery.chemistry ?? ''} cells in series
            {battery.capacityAmpereHours !== undefined && ` of ${battery.capacityAmpereHours} Ah`}. The limits below are
            the mission’s own. Lithium cells are dangerous when charged cold, overcharged or deeply discharged: bench
            work follows the cell maker’s data sheet and local rules.
          </p>
        )}
        <p class="row">
          <a class="button" href={hrefOf('mission', 'hear')}>
            How to hear it
          </a>
          <span>One sheet to read, or to print and hand on.</span>
        </p>
        {site === null && (
          <p>
            <a href={`/api/missions/${encodeURIComponent(id)}`}>The whole definition as JSON</a>
            {summary !== null && (
              <span class="faint">
                , version {summary.version}, saved <Moment at={summary.savedAt} />
              </span>
            )}
          </p>
        )}
        {site === null && (
          <p>
            Kept apart from the flight: <a href={hrefOf('now', null, { phase: 'rehearsal' })}>the rehearsal</a> and{' '}
            <a href={hrefOf('now', null, { phase: 'bench' })}>the bench</a>.
          </p>
        )}
      </section>
      <section class="stack">
        <h2>Frames</h2>
        <p class="small faint">
          0 stands for a digit, H for a hex digit, A for a letter; what is in brackets may be absent. The name of each
          field is written over it.
        </p>
        <ol class="layouts">
          {mission.frames.map((frame) => (
            <Layout key={frame.id} frame={frame} />
          ))}
        </ol>
      </section>
      <section class="stack">
        <h2>Parameters</h2>
        <Parameters mission={mission} />
      </section>
      <HowToSend mission={mission} />
    </>
  );
}
