import type { Reading } from '../../../decoders/engineering/types.ts';
import type { Burst } from '../../../decoders/teletype/types.ts';
import type { StoredBurst, StoredCopy, StoredFrame, StoredRecording } from '../../store/records.ts';
import { isoTime, isoTimeOrNull } from '../../time.ts';
import { frameId, recordingId } from '../ids.ts';
import type { BurstFrame, FrameCopy, FrameFields, FrameReading, FrameSummary } from '../messages.ts';

export function frameSummary(frame: StoredFrame): FrameSummary {
  const { decoded, source } = frame;
  return {
    id: frameId(frame.id),
    mission: frame.mission,
    frame: decoded.frame,
    receivedAt: isoTimeOrNull(frame.receivedAt),
    receivedAtSource: frame.receivedAtSource,
    receivedAtUncertaintySeconds: frame.receivedAtUncertaintySeconds,
    addedAt: isoTime(frame.addedAt),
    station: frame.station,
    vouched: frame.vouched,
    phase: frame.phase,
    source: source.kind,
    recording: source.kind === 'recording' ? recordingId(source.recording) : null,
    text: decoded.text,
    complete: decoded.complete,
    checksum: decoded.checksum,
    trust: decoded.trust,
    confidence: decoded.confidence,
    fields: fieldsView(frame),
  };
}

export function fieldsView({ decoded }: StoredFrame): FrameFields {
  return Object.fromEntries(Object.entries(decoded.fields).map(([id, field]) => [id, { ...field }]));
}

export function charactersView({ decoded }: StoredFrame): BurstFrame['characters'] {
  return decoded.characters.map((character) => ({ ...character }));
}

/** A frame with its copies in one burst: more than one where the burst repeats it. */
export interface HeardHere {
  readonly frame: StoredFrame;
  /** At least one. */
  readonly copies: readonly StoredCopy[];
}

/** A frame where it stands in a burst, which need not be the one that it was read in most clearly. */
export function burstFrame({ frame, copies: [copy] }: HeardHere, burst: Burst): BurstFrame {
  const { decoded } = frame;
  return {
    id: frameId(frame.id),
    mission: frame.mission,
    frame: decoded.frame,
    text: decoded.text,
    ...secondsUnder(copy.slots, burst),
    complete: decoded.complete,
    checksum: decoded.checksum,
    trust: decoded.trust,
    confidence: decoded.confidence,
    characters: decoded.characters.flatMap((character, i) =>
      copy.slots[i] < 0 ? [] : [{ ...character, slot: copy.slots[i] }],
    ),
  };
}

/** A copy where it stands in its own recording. */
export function copyView(
  { use, slots, alone }: StoredCopy,
  recording: StoredRecording,
  { index, burst }: StoredBurst,
): FrameCopy {
  return {
    station: recording.station,
    vouched: recording.vouched,
    recording: recordingId(recording.id),
    burst: index,
    ...secondsUnder(slots, burst),
    ebN0Db: burst.ebN0Db,
    use,
    alone:
      alone === null
        ? null
        : {
            frame: alone.decoded.frame,
            text: alone.decoded.text,
            trust: alone.decoded.trust,
            confidence: alone.decoded.confidence,
          },
  };
}

function secondsUnder(slots: readonly number[], burst: Burst): { startSeconds: number; endSeconds: number } {
  const own = slots.filter((slot) => slot >= 0);
  const { startSeconds } = burst.soft;
  return {
    startSeconds: startSeconds[Math.min(...own)] ?? burst.startSeconds,
    endSeconds: startSeconds[Math.max(...own) + 1] ?? burst.endSeconds,
  };
}

export function readingView(reading: Reading): FrameReading {
  return { ...reading, notes: [...reading.notes] };
}
