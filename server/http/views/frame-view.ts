import type { Reading } from '../../../decoders/engineering/types.ts';
import type { StoredFrame } from '../../store/records.ts';
import { isoTime, isoTimeOrNull } from '../../time.ts';
import { frameId, recordingId } from '../ids.ts';
import type { BurstFrame, FrameFields, FrameReading, FrameSummary } from '../messages.ts';

export function frameSummary(frame: StoredFrame): FrameSummary {
  const { decoded, source } = frame;
  return {
    id: frameId(frame.id),
    mission: frame.mission,
    frame: decoded.frame,
    receivedAt: isoTimeOrNull(frame.receivedAt),
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

export function burstFrame(frame: StoredFrame): BurstFrame {
  const { decoded } = frame;
  return {
    id: frameId(frame.id),
    mission: frame.mission,
    frame: decoded.frame,
    text: decoded.text,
    startSeconds: decoded.startSeconds,
    endSeconds: decoded.endSeconds,
    complete: decoded.complete,
    checksum: decoded.checksum,
    trust: decoded.trust,
    confidence: decoded.confidence,
    characters: charactersView(frame),
  };
}

export function readingView(reading: Reading): FrameReading {
  return { ...reading, notes: [...reading.notes] };
}
