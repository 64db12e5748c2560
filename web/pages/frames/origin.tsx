import { noteSentence } from '../../../decoders/frames/notes.ts';
import type { FrameDetail } from '../../../server/http/messages.ts';
import { getDefinition } from '../../api/definition.ts';
import { useResource } from '../../api/use-resource.ts';
import { fieldsBehind } from '../../marks/fields-behind.ts';
import { FrameText } from '../../marks/frame-text.tsx';
import { Age, Moment } from '../../marks/moment.tsx';
import { StateMark } from '../../marks/state-mark.tsx';
import { TrustMark, UnvouchedMark } from '../../marks/trust-mark.tsx';
import { Fact, Facts, Hash } from '../../shell/facts.tsx';
import { hrefOf } from '../../shell/missions.ts';
import { tapeColumns } from '../../tape/columns.ts';
import { Tape } from '../../tape/tape.tsx';
import { tonesText } from '../../words/band.ts';
import { confidenceText, ebN0Text, valueText } from '../../words/number.ts';
import { positionText } from '../../words/time.ts';
import { CopyList } from './copy-list.tsx';
import './origin.css';

const NONE: ReadonlySet<string> = new Set();

const CHECKSUM = { pass: 'it fits', fail: 'it does not fit', none: 'none in this frame' } as const;
const CUT_OFF = 'none was read: the frame is incomplete';

/** Where a frame, or one reading of it, came from: characters, recording, station, trust, version. */
export function Origin({
  frame,
  mission,
  parameter = null,
}: {
  readonly frame: FrameDetail;
  readonly mission: string;
  /** The reading that is asked about; null for the whole frame. */
  readonly parameter?: string | null;
}) {
  const { origin } = frame;
  const definition = useResource(`definition ${mission} ${frame.definition.readingsVersion}`, (signal) =>
    getDefinition(mission, frame.definition.readingsVersion, signal),
  ).value;
  const described = definition?.parameters.find(({ id }) => id === parameter);
  const reading = frame.readings.find((one) => one.parameter === parameter);
  const picked = parameter === null || definition === null ? NONE : fieldsBehind(definition, parameter);
  const pickedSlots = new Set(
    frame.characters.filter(({ field }) => field !== null && picked.has(field)).map(({ slot }) => slot),
  );
  const trust = reading?.trust ?? frame.trust;
  const confidence = reading?.confidence ?? frame.confidence;
  const copies = origin.source === 'recording' ? origin.copies : [];
  const heardBy = copies.filter(({ use }) => use === 'added').length;

  return (
    <div class="origin stack">
      {parameter !== null && (
        <h2>
          <span class="what">{described?.name ?? parameter}</span>
          <span class="value">
            {reading === undefined ? 'no value' : valueText(reading.value, reading.unit, described?.decimals)}
          </span>
        </h2>
      )}
      {reading?.limit === 'soft' && <StateMark state="look" word="outside its soft limits" />}
      {reading?.limit === 'hard' && <StateMark state="act" word="outside its hard limits" />}
      <FrameText characters={frame.characters} picked={picked} />
      {origin.source === 'recording' && origin.slots.length > 0 && (
        <Tape
          columns={tapeColumns(origin.slots, frame.characters)}
          label={`Tape: ${frame.text}`}
          picked={pickedSlots}
        />
      )}
      <Facts>
        <Fact name="Received">
          <Moment at={frame.receivedAt} />
          {frame.receivedAt !== null && (
            <span class="faint">
              {' '}
              (<Age at={frame.receivedAt} />)
            </span>
          )}
        </Fact>
        <Fact name="Station">
          {frame.station} {!frame.vouched && <UnvouchedMark />}
        </Fact>
        <Fact name="Trust">
          <TrustMark trust={trust} />, {confidenceText(confidence)} sure
          {heardBy > 1 && `, from ${heardBy} copies together`}
          {frame.decision.repaired && '; repaired: the plainest reading of the tones was another'}
          {frame.decision.notes.map((note) => (
            <p key={note}>{noteSentence(note)}</p>
          ))}
        </Fact>
        <Fact name="Checksum">{frame.checksum === 'none' && !frame.complete ? CUT_OFF : CHECKSUM[frame.checksum]}</Fact>
        {[...picked].map((field) => {
          const found = frame.fields[field];
          return found === undefined ? null : (
            <Fact key={field} name={`Field ${field}`}>
              <code>{found.text === '' ? 'unreadable' : found.text}</code>, {confidenceText(found.confidence)} sure
            </Fact>
          );
        })}
        {origin.source === 'recording' ? (
          <>
            <Fact name="Recording">
              <a href={hrefOf('recordings', origin.recording.id, { frame: frame.id })}>
                {origin.recording.id} at {positionText(origin.startSeconds)}
              </a>
            </Fact>
            <Fact name="Burst">
              {origin.burst.baud.toFixed(2)} Bd, {tonesText(origin.burst)}, {ebN0Text(origin.burst.ebN0Db)}
            </Fact>
            {copies.length > 1 && (
              <Fact name="Heard by">
                <CopyList copies={copies} text={frame.text} frame={frame.id} />
              </Fact>
            )}
            <Fact name="SHA-256">
              <Hash sha256={origin.recording.sha256} />
            </Fact>
          </>
        ) : (
          <Fact name="Sent as">
            {origin.line === null ? 'a line that only its sender sees whole' : <code>{origin.line}</code>}
            {origin.assumptions.map((text) => (
              <p key={text} class="faint">
                {text}
              </p>
            ))}
          </Fact>
        )}
        <Fact name="Definition">
          <a href={`/api/missions/${encodeURIComponent(mission)}?version=${frame.definition.readingsVersion}`}>
            version {frame.definition.readingsVersion}
          </a>
          {frame.definition.version !== frame.definition.readingsVersion &&
            `; the text was read with version ${frame.definition.version}`}
        </Fact>
        {(reading?.notes ?? []).map((note) => (
          <Fact key={note} name="Assumed">
            {note}
          </Fact>
        ))}
      </Facts>
    </div>
  );
}
