import { addressOf, HOME } from '../address/address.ts';
import { address } from '../address/location.ts';
import { lazyPage } from '../shell/lazy.tsx';
import { hrefOf, loadMissions, mission, missions, missionsProblem } from '../shell/missions.ts';
import { Empty, Loading, ProblemNotice } from '../shell/notices.tsx';
import { NowPage } from './now/now-page.tsx';

const TrendsPage = lazyPage('the trends', () => import('./trends/trends-page.tsx'));
const RecordingsPage = lazyPage('the recordings', () => import('./recordings/recordings-page.tsx'));
const RecordingPage = lazyPage('the recording', () => import('./recordings/recording-page.tsx'));
const ListenPage = lazyPage('the listening page', () => import('./listen/listen-page.tsx'));
const FramesPage = lazyPage('the frames', () => import('./frames/frames-page.tsx'));
const FramePage = lazyPage('the frame', () => import('./frames/frame-page.tsx'));
const HearPage = lazyPage('how to hear it', () => import('./hear/hear-page.tsx'));
const MissionPage = lazyPage('the mission', () => import('./mission/mission-page.tsx'));

function NoSuchPage() {
  return (
    <Empty page title="There is no such page">
      <p>The address names nothing that is here. Perhaps it was cut short on its way.</p>
      <a class="button" href={addressOf(HOME)}>
        To the first page
      </a>
    </Empty>
  );
}

function NoMission({ asked }: { readonly asked: string | null }) {
  if (asked !== null) {
    return (
      <Empty page title={`There is no mission ${asked} here`}>
        <p>Its id may be misspelt, or it may be readable by key only.</p>
        <a class="button" href={addressOf(HOME)}>
          To the first page
        </a>
      </Empty>
    );
  }
  return (
    <Empty page title="No mission yet">
      <p>
        A mission definition tells what the beacon’s text means: one JSON file with the layouts of its frames and the
        parameters in them. Whoever runs this server adds it with the team’s key:
      </p>
      <pre>
        {
          'curl -X PUT --data-binary @my-satellite.json \\\n  -H "Authorization: Bearer $FIVEUNIT_TEAM_KEY" \\\n  -H "Content-Type: application/json" \\\n  '
        }
        {window.location.origin}/api/missions/my-satellite
      </pre>
      <p>
        To see everything at work first, start the server with <code>--demo</code>: its satellite is invented.
      </p>
    </Empty>
  );
}

/** The page that the address names. */
export function PageContent() {
  const { page, id, query } = address.value;
  if (page === null) return <NoSuchPage />;
  // needs no server
  if (page === 'listen') return <ListenPage />;
  if (missions.value === null) {
    return missionsProblem.value === null ? (
      <Loading what="the satellites" />
    ) : (
      <ProblemNotice
        page
        problem={missionsProblem.value}
        doing="The satellites could not be listed"
        onRetry={loadMissions}
      >
        <p>
          <a href={hrefOf('listen')}>Listen</a> works without the server.
        </p>
      </ProblemNotice>
    );
  }
  if (page === 'recordings') {
    return id === null ? <RecordingsPage /> : <RecordingPage key={id} id={id} frame={query.get('frame')} />;
  }
  if (page === 'frames' && id !== null) return <FramePage key={id} id={id} />;
  const current = mission.value;
  if (current === null) return <NoMission asked={query.get('mission')} />;
  switch (page) {
    case 'now':
      return <NowPage key={current.id} mission={current.id} />;
    case 'trends':
      return <TrendsPage key={current.id} mission={current.id} />;
    case 'frames':
      return <FramesPage key={current.id} mission={current.id} />;
    case 'mission':
      return id === 'hear' ? (
        <HearPage key={current.id} mission={current.id} />
      ) : (
        <MissionPage key={current.id} mission={current.id} />
      );
  }
}
