import { getFrame } from '../../api/endpoints.ts';
import { useResource } from '../../api/use-resource.ts';
import { Loading, ProblemNotice } from '../../shell/notices.tsx';
import { Origin } from '../frames/origin.tsx';
import type { ChosenPoint } from './view.ts';

/** Where the chosen reading came from, to the characters. */
export function OriginPane({
  mission,
  point,
  onClose,
}: {
  readonly mission: string;
  readonly point: ChosenPoint | null;
  readonly onClose: () => void;
}) {
  const { value, problem, reload } = useResource(point && `frame ${point.frame}`, (signal) =>
    getFrame(point?.frame ?? '', signal),
  );
  if (point === null) {
    return (
      <div class="origin-hint faint stack">
        <h2>Where a reading came from</h2>
        <p>
          Choose a point, and what stands behind it appears here: the frame, its characters, the recording, the station.
        </p>
      </div>
    );
  }
  return (
    <section class="origin-pane stack">
      {problem !== null && <ProblemNotice problem={problem} doing="Its origin could not be loaded" onRetry={reload} />}
      {value === null && problem === null && <Loading what="its origin" />}
      {value !== null && <Origin frame={value} mission={mission} parameter={point.parameter} />}
      <button type="button" onClick={onClose}>
        Close
      </button>
    </section>
  );
}
