import { useState } from 'preact/hooks';
import type { Mission } from '../../../decoders/mission/types.ts';
import type { FrameAccepted } from '../../../server/http/messages.ts';
import { queryText } from '../../address/address.ts';
import { address } from '../../address/location.ts';
import { getDefinition } from '../../api/definition.ts';
import { sendFrame } from '../../api/endpoints.ts';
import { type ApiProblem, asProblem } from '../../api/problem.ts';
import { useResource } from '../../api/use-resource.ts';
import { TrustMark } from '../../marks/trust-mark.tsx';
import { readCallSign } from '../../shell/call-sign.ts';
import { CallSignInput } from '../../shell/call-sign-input.tsx';
import { nowMs } from '../../shell/clock.ts';
import { keep, recall } from '../../shell/kept.ts';
import { hrefOf, phase } from '../../shell/missions.ts';
import { Loading, ProblemNotice } from '../../shell/notices.tsx';
import { UtcInput } from '../../shell/utc-input.tsx';
import { site } from '../../site/site.ts';
import { LineResult } from './line-result.tsx';
import { useLineReading } from './use-line-reading.ts';

const LONGEST = 4000;

function Taken({ accepted }: { readonly accepted: FrameAccepted }) {
  return (
    <div class="notice" role="status">
      <p>
        <strong>Stored, thank you.</strong>{' '}
        {[accepted, ...accepted.more].map(({ id, frame, trust }) => (
          <span key={id} class="taken">
            <a href={hrefOf('frames', id)}>
              {frame} {id}
            </a>{' '}
            <TrustMark trust={trust} />{' '}
          </span>
        ))}
      </p>
      {accepted.problems.map(({ code, message }) => (
        <p key={`${code} ${message}`} class="small faint">
          {message}
        </p>
      ))}
    </div>
  );
}

function SendForm({ mission, text }: { readonly mission: string; readonly text: string }) {
  const [station, setStation] = useState(recall('call-sign') ?? '');
  const [receivedMs, setReceived] = useState<number | null>(null);
  const [asked, setAsked] = useState(false);
  const [busy, setBusy] = useState(false);
  const [problem, setProblem] = useState<ApiProblem | null>(null);
  const [accepted, setAccepted] = useState<FrameAccepted | null>(null);
  const callSign = readCallSign(station);

  const submit = async (): Promise<void> => {
    setAsked(true);
    if (callSign === null || busy) return;
    keep('call-sign', callSign);
    setBusy(true);
    try {
      const receivedAt = receivedMs === null ? null : new Date(receivedMs).toISOString();
      setAccepted(await sendFrame({ mission, station: callSign, receivedAt, text, phase: phase.peek() }));
      setProblem(null);
    } catch (error) {
      setProblem(asProblem(error));
      setAccepted(null);
    } finally {
      setBusy(false);
    }
  };

  return (
    <form
      class="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void submit();
      }}
    >
      <div class="send-fields">
        <CallSignInput value={station} wrong={asked && callSign === null} onChange={setStation} />
        <UtcInput
          label="Received at, UTC"
          valueMs={receivedMs}
          onChange={setReceived}
          hint="Without it the readings wait outside the trends."
        />
        <button type="button" onClick={() => setReceived(Math.floor(nowMs.peek() / 60_000) * 60_000)}>
          Just now
        </button>
        <button type="submit" class="primary" disabled={busy}>
          Send to the team
        </button>
      </div>
      {problem !== null && <ProblemNotice problem={problem} doing="The line was not taken" />}
      {accepted !== null && <Taken accepted={accepted} />}
    </form>
  );
}

/** Of a static site: the line is taken to a server, which shows it again before it is sent. */
function SendElsewhere({
  mission,
  text,
  server,
}: {
  readonly mission: string;
  readonly text: string;
  readonly server: string | null;
}) {
  if (server === null) {
    return <p>These pages have no server and send nothing: give the line to the mission’s team yourself.</p>;
  }
  return (
    <p>
      These pages send nothing by themselves.{' '}
      <a class="button" href={`${server}/frames?${queryText({ mission, line: text })}`}>
        Take the line to {new URL(server).host}
      </a>
    </p>
  );
}

function Sample({ mission, onTake }: { readonly mission: Mission; readonly onTake: (text: string) => void }) {
  const example = mission.examples[0];
  if (example === undefined) return null;
  return (
    <p class="small faint">
      For instance <code>{example.text}</code>{' '}
      <button type="button" class="quiet" onClick={() => onTake(example.text)}>
        Try it
      </button>
    </p>
  );
}

/** Takes a line as somebody read or typed it, says at once what it means, and sends it. */
export function PasteLine({ mission }: { readonly mission: string }) {
  // a line may come along in the address, from pages that cannot send it themselves
  const [text, setText] = useState(() => address.peek().query.get('line')?.slice(0, LONGEST) ?? '');
  const definition = useResource(`definition ${mission}`, (signal) => getDefinition(mission, null, signal));
  const line = useLineReading(definition.value, text);
  return (
    <section class="stack">
      <h1>Frames</h1>
      <label>
        <span>
          A line as you read it: small letters, broken lines, a time in front and ? for what you missed are fine.
        </span>
        <textarea
          class="line-input"
          rows={3}
          maxLength={LONGEST}
          spellcheck={false}
          autocapitalize="off"
          autocomplete="off"
          value={text}
          onInput={(event) => setText(event.currentTarget.value)}
        />
      </label>
      {definition.problem !== null && (
        <ProblemNotice
          problem={definition.problem}
          doing="The mission’s definition could not be read, so the line cannot be either"
          onRetry={definition.reload}
        />
      )}
      {definition.value === null && definition.problem === null && <Loading what="the definition" />}
      {definition.value !== null && text.trim() === '' && <Sample mission={definition.value} onTake={setText} />}
      {line.problem !== null && <ProblemNotice problem={line.problem} doing="The line could not be read here" />}
      {definition.value !== null && line.reading !== null && (
        <>
          <LineResult text={line.text} mission={definition.value} reading={line.reading} />
          {site === null ? (
            <SendForm mission={mission} text={text} />
          ) : (
            <SendElsewhere mission={mission} text={text} server={site.server} />
          )}
        </>
      )}
    </section>
  );
}
