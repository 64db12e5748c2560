import type { Recording } from '../../../server/http/messages.ts';
import { address } from '../../address/location.ts';
import { getRecordings } from '../../api/endpoints.ts';
import { useNews } from '../../api/use-news.ts';
import { useResource } from '../../api/use-resource.ts';
import { Age } from '../../marks/moment.tsx';
import { UnvouchedMark } from '../../marks/trust-mark.tsx';
import { hrefOf, missionName } from '../../shell/missions.ts';
import { Empty, Loading, ProblemNotice } from '../../shell/notices.tsx';
import { outcomeText } from '../../words/outcome.ts';
import { spanText } from '../../words/time.ts';
import { DropArea } from './drop-area.tsx';
import { SentList } from './sent-list.tsx';
import './recordings.css';

function RecordingRow({ recording }: { readonly recording: Recording }) {
  const { id, startedAt, uploadedAt, station, vouched, audio, needsTime, mission, presence, status } = recording;
  const which = mission === 'any' ? presence.map((one) => one.mission) : [mission];
  return (
    <li class={`recording-row ${status}`}>
      <a href={hrefOf('recordings', id)}>{id}</a>
      <span class="when">
        {startedAt === null ? (
          <>
            sent <Age at={uploadedAt} />
          </>
        ) : (
          <Age at={startedAt} />
        )}
      </span>
      <span class="who">
        {station} {!vouched && <UnvouchedMark />}
      </span>
      <span class="long faint">{audio === null ? '' : spanText(audio.seconds)}</span>
      <span class="outcome">
        {outcomeText(recording)}
        {audio?.simulated === true && <em> – simulated</em>}
        {needsTime && <em> – needs its time</em>}
      </span>
      <span class="which faint">{which.map(missionName).join(', ')}</span>
    </li>
  );
}

export default function RecordingsPage() {
  const after = address.value.query.get('after');
  const { value, problem, loading, reload } = useResource(`recordings ${after ?? ''}`, (signal) =>
    getRecordings(after, signal),
  );
  useNews((note) => note.type === 'recording' || note.type === 'look-anew', reload);
  return (
    <>
      <section class="stack">
        <h1>Recordings</h1>
        <DropArea />
        <SentList />
      </section>
      {problem !== null && (
        <ProblemNotice problem={problem} doing="The recordings could not be listed" onRetry={reload} />
      )}
      {value === null && loading && <Loading what="the recordings" />}
      {value !== null && value.recordings.length === 0 && (
        <Empty title="No recording yet">
          <p>
            Every recording that is sent stands here with what was found in it: its bursts as paper tape, the frames
            read from them, and their readings. Choose a file above to begin.
          </p>
        </Empty>
      )}
      {value !== null && value.recordings.length > 0 && (
        <section class="stack">
          <h2>All recordings</h2>
          <ol class="recording-list">
            {value.recordings.map((recording) => (
              <RecordingRow key={recording.id} recording={recording} />
            ))}
          </ol>
          <p class="row">
            {after !== null && (
              <a class="button" href={hrefOf('recordings')}>
                Newest
              </a>
            )}
            {value.next !== null && (
              <a class="button" href={hrefOf('recordings', null, { after: value.next })}>
                Older
              </a>
            )}
          </p>
        </section>
      )}
    </>
  );
}
