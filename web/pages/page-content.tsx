import { addressOf } from '../address/address.ts';
import { address } from '../address/location.ts';
import { loadMissions, mission, missions, missionsProblem } from '../shell/missions.ts';
import { Empty, Loading, ProblemNotice } from '../shell/notices.tsx';
import { NowPage } from './now/now-page.tsx';

export function PageContent() {
  const { page } = address.value;
  if (page === null) {
    return (
      <Empty title="There is no such page">
        <p>The address names nothing that is here. Perhaps it was cut short on its way.</p>
        <a class="button" href={addressOf('now')}>
          To the first page
        </a>
      </Empty>
    );
  }
  if (missions.value === null) {
    return missionsProblem.value === null ? (
      <Loading what="the satellites" />
    ) : (
      <ProblemNotice problem={missionsProblem.value} doing="The satellites could not be listed" onRetry={loadMissions} />
    );
  }
  if (mission.value !== null) return <NowPage mission={mission.value.id} />;
  return null;
}
