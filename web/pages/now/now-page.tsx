import { getNow } from '../../api/endpoints.ts';
import { touchesMission, useNews } from '../../api/use-news.ts';
import { useResource } from '../../api/use-resource.ts';
import { StateMark } from '../../marks/state-mark.tsx';
import { nowMs } from '../../shell/clock.ts';
import { phase } from '../../shell/missions.ts';
import { Loading, ProblemNotice } from '../../shell/notices.tsx';
import { conditionOf } from '../../words/condition.ts';
import { byGroup } from './groups.ts';
import { LastFrame } from './last-frame.tsx';
import { NothingHeard } from './nothing-heard.tsx';
import { ReadingGroup } from './reading-group.tsx';
import { TrustLegend } from './trust-legend.tsx';
import './now.css';

/** How the satellite is, in one sentence, then what it last said. */
export function NowPage({ mission }: { readonly mission: string }) {
  const {
    value: now,
    problem,
    reload,
  } = useResource(`now ${mission} ${phase.value}`, (signal) => getNow(mission, phase.value, signal));
  useNews((note) => touchesMission(note, mission), reload);

  if (now === null) {
    return problem === null ? (
      <Loading what="the last readings" />
    ) : (
      <ProblemNotice page problem={problem} doing="The last readings could not be loaded" onRetry={reload} />
    );
  }
  const { headline, details } = conditionOf(now, nowMs.value);
  const { places, others } = byGroup(now.parameters);
  return (
    <>
      {problem !== null && <ProblemNotice problem={problem} doing="This may be out of date" onRetry={reload} />}
      <section class="condition stack">
        {now.state !== 'unknown' && <StateMark state={now.state} />}
        <h1>{headline}</h1>
        {details.length > 0 && (
          <ul class="details">
            {details.map((detail) => (
              <li key={detail}>{detail}</li>
            ))}
          </ul>
        )}
      </section>
      {now.lastHeard === null ? (
        <NothingHeard />
      ) : (
        <>
          <div class="places">
            {places.map((group) => (
              <ReadingGroup key={group.id} group={group} />
            ))}
          </div>
          {others.length > 0 && (
            <div class="others">
              {others.map((group) => (
                <ReadingGroup key={group.id} group={group} small />
              ))}
            </div>
          )}
          <TrustLegend />
          <LastFrame frame={now.lastHeard.frame} />
        </>
      )}
    </>
  );
}
