import { useState } from 'preact/hooks';
import type { Recording } from '../../../server/http/messages.ts';
import { changeRecording } from '../../api/endpoints.ts';
import { type ApiProblem, asProblem } from '../../api/problem.ts';
import { ProblemNotice } from '../../shell/notices.tsx';
import { UtcInput } from '../../shell/utc-input.tsx';

/** Asks the sender when the recording began; without that its readings stay out of the trends. */
export function StartTimeForm({ recording, onSaved }: { readonly recording: Recording; readonly onSaved: () => void }) {
  const [startMs, setStart] = useState<number | null>(null);
  const [problem, setProblem] = useState<ApiProblem | null>(null);
  if (!recording.yours) {
    return (
      <p class="notice">
        Nobody has said when this was recorded, so its readings wait outside the trends. Its sender, from the browser
        that sent it, or the team can say it.
      </p>
    );
  }
  const save = async (): Promise<void> => {
    if (startMs === null) return;
    try {
      await changeRecording(recording.id, { startedAt: new Date(startMs).toISOString() });
      setProblem(null);
      onSaved();
    } catch (error) {
      setProblem(asProblem(error));
    }
  };
  return (
    <form
      class="notice"
      onSubmit={(event) => {
        event.preventDefault();
        void save();
      }}
    >
      <p>
        <strong>When did this recording start?</strong> The file does not say. Until somebody does, its readings wait
        outside the trends.
      </p>
      <div class="row">
        <UtcInput label="Started at, UTC" valueMs={startMs} onChange={setStart} />
        <button type="submit" class="primary" disabled={startMs === null}>
          Save
        </button>
      </div>
      {problem !== null && <ProblemNotice problem={problem} doing="The time was not taken" />}
    </form>
  );
}
