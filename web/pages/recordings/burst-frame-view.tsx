import { useState } from 'preact/hooks';
import type { BurstFrame, FrameReading } from '../../../server/http/messages.ts';
import { getDefinition } from '../../api/definition.ts';
import { getFrame } from '../../api/endpoints.ts';
import { useResource } from '../../api/use-resource.ts';
import { fieldsBehind } from '../../marks/fields-behind.ts';
import { FrameText } from '../../marks/frame-text.tsx';
import { ReadingList } from '../../marks/reading-list.tsx';
import { TrustMark } from '../../marks/trust-mark.tsx';
import { hrefOf } from '../../shell/missions.ts';
import { confidenceText } from '../../words/number.ts';

const CHECKSUM = { pass: 'checksum fits', fail: 'checksum does not fit', none: 'no checksum' } as const;

/** A frame where it stands in its burst, with its readings; choosing one picks out its characters on the tape. */
export function BurstFrameView({
  frame,
  onPick,
}: {
  readonly frame: BurstFrame;
  readonly onPick: (slots: ReadonlySet<number>) => void;
}) {
  const [chosen, setChosen] = useState<string | null>(null);
  const detail = useResource(`frame ${frame.id}`, (signal) => getFrame(frame.id, signal)).value;
  const version = detail?.definition.readingsVersion;
  const definition = useResource(version === undefined ? null : `definition ${frame.mission} ${version}`, (signal) =>
    getDefinition(frame.mission, version ?? null, signal),
  ).value;
  const fieldsOf = (parameter: string | null): ReadonlySet<string> =>
    parameter === null || definition === null ? new Set() : fieldsBehind(definition, parameter);

  const choose = (reading: FrameReading): void => {
    const parameter = reading.parameter === chosen ? null : reading.parameter;
    const fields = fieldsOf(parameter);
    setChosen(parameter);
    onPick(
      new Set(
        frame.characters
          .filter(({ field }) => parameter === null || (field !== null && fields.has(field)))
          .map(({ slot }) => slot),
      ),
    );
  };

  return (
    <article class="burst-frame stack">
      <p class="provenance">
        <a href={hrefOf('frames', frame.id)}>Frame {frame.id}</a>
        <span>{frame.frame}</span>
        <span>
          <TrustMark trust={frame.trust} />, {confidenceText(frame.confidence)} sure
        </span>
        <span>{CHECKSUM[frame.checksum]}</span>
        {!frame.complete && <span>incomplete</span>}
      </p>
      <FrameText characters={frame.characters} picked={fieldsOf(chosen)} />
      {detail !== null && (
        <ReadingList readings={detail.readings} definition={definition} chosen={chosen} onChoose={choose} />
      )}
    </article>
  );
}
