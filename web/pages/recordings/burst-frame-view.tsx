import { isPractice } from '../../../decoders/mission/practice.ts';
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
import { type Choice, fieldChoice, frameChoice, NOTHING } from './choice.ts';

const CHECKSUM = { pass: 'checksum fits', fail: 'checksum does not fit', none: 'no checksum' } as const;

/** A frame where it stands in its burst, with its readings; choosing one, or a field, picks out its characters on the tape. */
export function BurstFrameView({
  frame,
  choice,
  onChoose,
}: {
  readonly frame: BurstFrame;
  /** What is picked out of its burst. */
  readonly choice: Choice;
  readonly onChoose: (choice: Choice) => void;
}) {
  const detail = useResource(`frame ${frame.id}`, (signal) => getFrame(frame.id, signal)).value;
  const version = detail?.definition.readingsVersion;
  const definition = useResource(version === undefined ? null : `definition ${frame.mission} ${version}`, (signal) =>
    getDefinition(frame.mission, version ?? null, signal),
  ).value;
  const practice = isPractice(frame.text);
  const here = choice.frame === frame.id ? choice : NOTHING;
  const fieldsOf = (parameter: string): ReadonlySet<string> =>
    definition === null ? new Set() : fieldsBehind(definition, parameter);
  const isChosen = ({ parameter }: FrameReading): boolean =>
    here.parameter === null
      ? [...fieldsOf(parameter)].some((field) => here.fields.has(field))
      : parameter === here.parameter;

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
        {practice && <strong>rehearsal: sent for practice</strong>}
      </p>
      <FrameText
        characters={frame.characters}
        picked={here.fields}
        onField={(field) => onChoose(fieldChoice(frame, new Set([field])))}
      />
      {detail !== null && !practice && (
        <ReadingList
          readings={detail.readings}
          definition={definition}
          chosen={new Set(detail.readings.filter(isChosen).map(({ parameter }) => parameter))}
          onChoose={({ parameter }) =>
            onChoose(
              parameter === here.parameter ? frameChoice(frame) : fieldChoice(frame, fieldsOf(parameter), parameter),
            )
          }
        />
      )}
    </article>
  );
}
