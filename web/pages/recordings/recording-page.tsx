import { useState } from 'preact/hooks';
import type { LiveEvent, Recording } from '../../../server/http/messages.ts';
import { getBursts, getRecording } from '../../api/endpoints.ts';
import { useLive } from '../../api/use-live.ts';
import { useResource } from '../../api/use-resource.ts';
import { Moment } from '../../marks/moment.tsx';
import { UnvouchedMark } from '../../marks/trust-mark.tsx';
import { Fact, Facts, Hash } from '../../shell/facts.tsx';
import { hrefOf } from '../../shell/missions.ts';
import { Loading, ProblemNotice } from '../../shell/notices.tsx';
import { bandText, tuningText } from '../../words/band.ts';
import { bytesText } from '../../words/number.ts';
import { NO_BURST_ADVICE, outcomeText } from '../../words/outcome.ts';
import { positionText, spanText } from '../../words/time.ts';
import { BandForm } from './band-form.tsx';
import { BurstView } from './burst-view.tsx';
import { KeyForm } from './key-form.tsx';
import { PresenceNotice } from './presence-notice.tsx';
import { startSourceText } from './start-source.ts';
import { StartTimeForm } from './start-time-form.tsx';
import { WholeSound } from './whole-sound.tsx';
import './recordings.css';

type Progress = Extract<LiveEvent, { type: 'progress' }>;

/** The server's code for a simulated file whose frames are not counted as flight. */
const REHEARSED = 'simulated';

/** Where a cut-out comes from, and how far its own reading here bears out what its sender read. */
function CutOutFact({ cutOut }: { readonly cutOut: NonNullable<Recording['cutOut']> }) {
  const { software, source, readAgain } = cutOut;
  return (
    <Fact name="Cut out">
      at {positionText(source.startSeconds)} of a longer recording, by {software}
      {source.sha256 !== null && (
        <>
          {' '}
          (SHA-256 <Hash sha256={source.sha256} />)
        </>
      )}
      {readAgain !== null &&
        `; read again here, which alone counts: ${readAgain.agreeing} of ${readAgain.elements} elements are the same`}
    </Fact>
  );
}

function RecordingFacts({ recording }: { readonly recording: Recording }) {
  const {
    audio,
    startedAt,
    startedAtSource,
    timeAccuracySeconds,
    timeBase,
    fileName,
    bytes,
    sha256,
    station,
    vouched,
    cutOut,
  } = recording;
  return (
    <Facts>
      <Fact name="Station">
        {station} {!vouched && <UnvouchedMark />}
      </Fact>
      <Fact name="Started">
        <Moment at={startedAt} />
        {timeAccuracySeconds !== null && startedAt !== null && ` ± ${spanText(timeAccuracySeconds)}`}
        {startedAtSource !== null && <span class="faint">, said by {startSourceText(startedAtSource)}</span>}
        {timeBase === 'gaps' && '; time may be missing in it: behind its first minutes times are uncertain'}
      </Fact>
      {audio !== null && (
        <Fact name={audio.iq === null ? 'Sound' : 'Band'}>
          {audio.iq !== null && `${bandText(audio.iq, audio.sampleRateHz)}: `}
          {positionText(audio.seconds)} long, {audio.encoding}
          {audio.iq === null && `, ${audio.sampleRateHz / 1000}\u202fkHz`}
          {audio.channels > 1 && audio.iq === null && `, ${audio.channels} channels`}
          {audio.channel !== null && `, of which channel ${audio.channel + 1} was decoded`}
          {audio.simulated && ', simulated: nobody ever sent it'}
        </Fact>
      )}
      {audio !== null && audio.iq !== null && (
        <Fact name="Tuning">
          {tuningText(audio.iq)}
          {audio.iq.tuningSource !== null && (
            <span class="faint"> Said by {audio.iq.tuningSource === 'sender' ? 'its sender' : 'the file'}.</span>
          )}
        </Fact>
      )}
      {cutOut !== undefined && <CutOutFact cutOut={cutOut} />}
      {cutOut !== undefined && cutOut.band !== null && (
        <Fact name="Tuning">
          {tuningText(cutOut.band)}
          <span class="faint"> Said by its sender, who cut it out of a band.</span>
        </Fact>
      )}
      <Fact name="File">
        {fileName !== null && `${fileName}, `}
        {bytesText(bytes)}
      </Fact>
      <Fact name="SHA-256">
        <Hash sha256={sha256} />
      </Fact>
    </Facts>
  );
}

function NoBurst() {
  return (
    <section class="notice empty">
      <h2>No keyed burst was found</h2>
      <p>The whole recording was searched, at every usual speed and shift. What may help:</p>
      <ul class="advice">
        {NO_BURST_ADVICE.map((text) => (
          <li key={text}>{text}</li>
        ))}
      </ul>
      <a class="button" href={hrefOf('recordings')}>
        Send another recording
      </a>
    </section>
  );
}

/** One recording: what was found in it, from the whole down to the characters. */
export default function RecordingPage({ id, frame }: { readonly id: string; readonly frame: string | null }) {
  const { value: recording, problem, reload } = useResource(`recording ${id}`, (signal) => getRecording(id, signal));
  const done = recording?.status === 'decoded';
  const bursts = useResource(done ? `bursts ${id}` : null, (signal) => getBursts(id, signal));
  const [progress, setProgress] = useState<Progress | null>(null);
  useLive((note) => {
    if (note.type === 'progress' && note.recording === id) setProgress(note);
    if (note.type === 'recording' && note.recording === id) {
      reload();
      bursts.reload();
    }
    if (note.type === 'look-anew' && !done) reload();
  });

  if (recording === null) {
    return problem === null ? (
      <Loading what="the recording" />
    ) : (
      <ProblemNotice page problem={problem} doing={`Recording ${id} could not be shown`} onRetry={reload}>
        <p>
          <a href={hrefOf('recordings')}>All recordings</a>
        </p>
      </ProblemNotice>
    );
  }
  const now = progress !== null && !done && recording.status !== 'failed' ? { ...recording, ...progress } : recording;
  return (
    <>
      <section class="stack">
        <h1>
          Recording {id}:{' '}
          {outcomeText({ ...now, status: progress !== null && now.status === 'waiting' ? 'decoding' : now.status })}
        </h1>
        {!done && recording.status !== 'failed' && (
          <div class="stack" role="status">
            <progress
              aria-label="Decoded"
              value={now.status === 'waiting' && progress === null ? undefined : now.progress}
              max={1}
            />
            {progress?.lastText && <code>{progress.lastText}</code>}
          </div>
        )}
        {recording.error !== undefined && (
          <div class="notice problem">
            <p>{recording.error.message}</p>
            <p class="small faint">
              <code>{recording.error.code}</code>
            </p>
          </div>
        )}
        {recording.needsTime && <StartTimeForm recording={recording} onSaved={reload} />}
        {recording.problems.length > 0 && (
          <ul class="problems">
            {recording.problems.map(({ code, message, atSeconds }) => (
              <li key={`${code} ${atSeconds}`}>
                {atSeconds !== null && <span class="faint">at {positionText(atSeconds)}: </span>}
                {message}
                {code === REHEARSED && (
                  <>
                    {' '}
                    <a href={hrefOf('trends', null, { phase: 'rehearsal' })}>Trends of the rehearsal</a>
                  </>
                )}
              </li>
            ))}
          </ul>
        )}
        <RecordingFacts recording={recording} />
        {recording.yours && done && recording.audio !== null && (
          <BandForm
            key={`${recording.audio.iq === null}`}
            recording={recording}
            audio={recording.audio}
            onSaved={reload}
          />
        )}
        {!recording.yours && done && (
          <KeyForm
            recording={id}
            onKey={() => {
              reload();
              bursts.reload();
            }}
          />
        )}
      </section>
      {recording.presence.map((presence) => (
        <PresenceNotice key={presence.mission} presence={presence} />
      ))}
      {done && recording.bursts === 0 && recording.presence.length === 0 && <NoBurst />}
      {bursts.problem !== null && (
        <ProblemNotice problem={bursts.problem} doing="Its bursts could not be loaded" onRetry={bursts.reload} />
      )}
      {done && recording.bursts > 0 && bursts.value === null && bursts.problem === null && (
        <Loading what="its bursts" />
      )}
      {done && recording.audio?.iq && recording.bursts > 0 && (
        <p class="small faint">
          I/Q is no sound by itself. Heard and seen with each burst is what a receiver makes of it; the band as a whole
          is not shown.
        </p>
      )}
      {recording.yours && done && recording.audio?.iq === null && bursts.value !== null && (
        <WholeSound recording={recording} bursts={bursts.value.bursts} />
      )}
      {bursts.value?.bursts.map((burst) => (
        <BurstView key={burst.index} recording={id} burst={burst} startedAt={recording.startedAt} frame={frame} />
      ))}
    </>
  );
}
