import { getFrame } from '../../api/endpoints.ts';
import { useResource } from '../../api/use-resource.ts';
import { FrameText } from '../../marks/frame-text.tsx';
import { Age } from '../../marks/moment.tsx';
import { TrustMark, UnvouchedMark } from '../../marks/trust-mark.tsx';
import { hrefOf } from '../../shell/missions.ts';
import { tapeColumns } from '../../tape/columns.ts';
import { Tape } from '../../tape/tape.tsx';

/** What was last heard, as it came: on tape when a recording holds it, else as the line that somebody sent. */
export function LastFrame({ frame: id }: { readonly frame: string }) {
  const { value: frame } = useResource(`frame ${id}`, (signal) => getFrame(id, signal));
  if (frame === null) return null;
  return (
    <section class="last-frame stack">
      <h2>Last heard</h2>
      <p class="provenance">
        <span>
          <Age at={frame.receivedAt} /> by {frame.station}
        </span>
        <TrustMark trust={frame.trust} />
        {!frame.complete && <span>incomplete</span>}
        {!frame.vouched && <UnvouchedMark />}
        <a href={hrefOf('frames', frame.id)}>Where it came from</a>
      </p>
      {frame.origin.source === 'recording' ? (
        <Tape columns={tapeColumns(frame.origin.slots, frame.characters)} label={`Tape: ${frame.text}`} />
      ) : (
        <FrameText characters={frame.characters} />
      )}
    </section>
  );
}
