import { useState } from 'preact/hooks';
import { getRecordingWith } from '../../api/endpoints.ts';
import { type ApiProblem, asProblem } from '../../api/problem.ts';
import { viewerKey } from '../../api/viewer-key.ts';
import { ProblemNotice } from '../../shell/notices.tsx';

/** Lets the station that sent a recording, and the team, see and hear all of it with their key. */
export function KeyForm({ recording, onKey }: { readonly recording: string; readonly onKey: () => void }) {
  const [key, setKey] = useState('');
  const [refused, setRefused] = useState(false);
  const [problem, setProblem] = useState<ApiProblem | null>(null);

  const use = async (): Promise<void> => {
    setRefused(false);
    setProblem(null);
    try {
      const { yours } = await getRecordingWith(recording, key.trim());
      if (!yours) return setRefused(true);
      viewerKey.value = key.trim();
      onKey();
    } catch (error) {
      setProblem(asProblem(error));
    }
  };
  return (
    <details class="key-form unprinted">
      <summary>See and hear all of it, with a key</summary>
      <form
        class="stack"
        onSubmit={(event) => {
          event.preventDefault();
          if (key.trim() !== '') void use();
        }}
      >
        <div class="row">
          <label>
            <span>Key of its station or the team</span>
            <input
              type="password"
              autocomplete="off"
              value={key}
              onInput={(event) => setKey(event.currentTarget.value)}
            />
          </label>
          <button type="submit" disabled={key.trim() === ''}>
            Use it
          </button>
        </div>
        <p class="small faint">It is kept until these pages are closed or loaded anew, and sent to this server only.</p>
        {refused && <p role="alert">This is a key of another station: what it may see stands here already.</p>}
        {problem !== null && <ProblemNotice problem={problem} doing="The key was not taken" />}
      </form>
    </details>
  );
}
