import { getDefinition } from '../../api/definition.ts';
import { getFrame } from '../../api/endpoints.ts';
import { useResource } from '../../api/use-resource.ts';
import { ReadingList } from '../../marks/reading-list.tsx';
import { hrefOf } from '../../shell/missions.ts';
import { Loading, ProblemNotice } from '../../shell/notices.tsx';
import { FieldTable } from './field-table.tsx';
import { Origin } from './origin.tsx';
import './frames.css';

/** One frame with its whole origin, its fields and its readings. */
export default function FramePage({ id }: { readonly id: string }) {
  const { value: frame, problem, reload } = useResource(`frame ${id}`, (signal) => getFrame(id, signal));
  const version = frame?.definition.readingsVersion ?? null;
  const definition = useResource(frame && `definition ${frame.mission} ${version}`, (signal) =>
    getDefinition(frame?.mission ?? '', version, signal),
  ).value;
  if (frame === null) {
    return problem === null ? (
      <Loading what="the frame" />
    ) : (
      <ProblemNotice page problem={problem} doing={`Frame ${id} could not be shown`} onRetry={reload}>
        <p>
          <a href={hrefOf('frames')}>All frames</a>
        </p>
      </ProblemNotice>
    );
  }
  return (
    <>
      <section class="stack">
        <h1>
          Frame {frame.id}: {frame.frame}
        </h1>
        <Origin frame={frame} mission={frame.mission} />
      </section>
      <section class="stack">
        <h2>Readings</h2>
        <ReadingList readings={frame.readings} definition={definition} />
      </section>
      <section class="stack">
        <h2>Fields</h2>
        <FieldTable fields={frame.fields} />
      </section>
    </>
  );
}
