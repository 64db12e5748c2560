import { useState } from 'preact/hooks';
import type { Recording } from '../../../server/http/messages.ts';
import { changeRecording } from '../../api/endpoints.ts';
import { type ApiProblem, asProblem } from '../../api/problem.ts';
import { ProblemNotice } from '../../shell/notices.tsx';
import { bandFields, CentreField, isBandWrong, NOTHING_SAID, TuningFields, tuningChange } from './band-fields.tsx';

type Audio = NonNullable<Recording['audio']>;

/** Lets the sender and the team say later what a band needs: how its receiver was tuned, or that two channels are one. */
export function BandForm({
  recording,
  audio,
  onSaved,
}: {
  readonly recording: Recording;
  readonly audio: Audio;
  readonly onSaved: () => void;
}) {
  const { iq } = audio;
  const isBand = iq !== null;
  const [said, setSaid] = useState(() => ({
    ...NOTHING_SAID,
    isBand: true,
    tuning: iq?.tuning ?? NOTHING_SAID.tuning,
    referencePpm: iq?.referenceErrorPpm?.toString() ?? '',
  }));
  const [problem, setProblem] = useState<ApiProblem | null>(null);
  if (!isBand && audio.channels !== 2) return null;
  const save = async (): Promise<void> => {
    try {
      await changeRecording(recording.id, isBand ? tuningChange(said) : bandFields(said));
      setProblem(null);
      onSaved();
    } catch (error) {
      setProblem(asProblem(error));
    }
  };
  return (
    <details class="band-said unprinted">
      <summary>{isBand ? 'Say how the receiver was tuned' : 'These two channels are I and Q'}</summary>
      <form
        class="stack"
        onSubmit={(event) => {
          event.preventDefault();
          void save();
        }}
      >
        {!isBand && (
          <p class="small">
            The recording is decoded again as one band, and what was read from it as sound goes; a frame that is found
            again gets a new number.
          </p>
        )}
        <div class="drop-fields">
          {!isBand && <CentreField said={said} onChange={setSaid} />}
          <TuningFields said={said} onChange={setSaid} />
        </div>
        <div class="row">
          <button type="submit" class="primary" disabled={isBandWrong(said)}>
            {isBand ? 'Save' : 'Decode again as I/Q'}
          </button>
        </div>
        {problem !== null && <ProblemNotice problem={problem} doing="It was not taken" />}
      </form>
    </details>
  );
}
