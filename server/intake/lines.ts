import { createHash } from 'node:crypto';
import { type NearestLayout, readTypedText } from '../../decoders/frames/typed.ts';
import { isPractice, spokenIn } from '../../decoders/mission/practice.ts';
import type { CurrentMission } from '../missions/catalog.ts';
import { readFrames } from '../readings/read-frames.ts';
import { Refusal } from '../refusal.ts';
import type { Services } from '../services.ts';
import type { Instant, Phase, StoredFrame } from '../store/records.ts';
import { isoTimeOrNull } from '../time.ts';

/** Broken lines of a frame and some frames; each line costs time to read. */
const LINES_MAX = 20;

/** A line as somebody read or typed it. */
export interface Line {
  readonly station: string;
  readonly vouched: boolean;
  readonly receivedAt: Instant | null;
  readonly phase: Phase;
  readonly text: string;
}

export interface AcceptedLine {
  readonly frames: readonly StoredFrame[];
  readonly assumptions: readonly string[];
  /** False when the same line was here already. */
  readonly added: boolean;
}

/** Reads and stores a line. Refuses one that fits no layout, naming the layout that came nearest. */
export async function acceptLine(
  { store, clock }: Pick<Services, 'store' | 'clock'>,
  { mission, version }: CurrentMission,
  line: Line,
): Promise<AcceptedLine> {
  if (line.text.split(/\r\n|\r|\n/).length > LINES_MAX) {
    throw new Refusal('request-malformed', `at most ${LINES_MAX} lines are read at once: send the frames one by one`, {
      at: 'body/text',
      limit: LINES_MAX,
    });
  }
  const { frames, assumptions, nearest } = readTypedText(spokenIn(line.text, mission), line.text, {
    receivedAt: isoTimeOrNull(line.receivedAt),
  });
  if (frames.length === 0) throw new Refusal('line-unreadable', unreadable(mission.name, nearest), { nearest });
  const { station, vouched, receivedAt, text } = line;
  // Whatever its sender says: practice is never flight.
  const phase = isPractice(text) ? 'rehearsal' : line.phase;
  const readings = await readFrames(
    store,
    mission,
    phase,
    frames.map((decoded) => ({ decoded, receivedAt })),
  );
  const stored = await store.addLine(
    { hash: hashOf(mission.id, { ...line, phase }), text, assumptions, addedAt: clock() },
    frames.map((decoded, index) => ({
      mission: mission.id,
      version,
      receivedAt,
      receivedAtSource: receivedAt === null ? null : 'sender',
      receivedAtUncertaintySeconds: null,
      station,
      vouched,
      phase,
      decoded,
      readings: readings[index],
      readingsVersion: version,
    })),
  );
  return { ...stored, assumptions };
}

function unreadable(mission: string, nearest: NearestLayout | null): string {
  const fit = nearest === null ? 'not even its call sign or one of its fields was found' : nearestFit(nearest);
  return `the text fits no layout of ${mission}: ${fit}; check the mission and the line`;
}

function nearestFit({ frame, at, expected }: NearestLayout): string {
  const wanted = expected === '' ? 'it should end' : `one of ${expected} should stand`;
  return `layout "${frame}" came nearest: it fits up to character ${at}, where ${wanted}`;
}

/** The same from the same station at the same time is the same line. */
function hashOf(mission: string, { station, vouched, receivedAt, phase, text }: Line): Uint8Array {
  const parts = [mission, station, vouched, isoTimeOrNull(receivedAt), phase, text];
  return createHash('sha256').update(JSON.stringify(parts)).digest();
}
