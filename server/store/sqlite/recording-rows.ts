import type { TimeBase } from '../../../decoders/audio/time-gaps.ts';
import type { RecordingStatus, StoredRecording } from '../records.ts';
import { phaseOf, trustCode } from './codes.ts';

/** A copy from elsewhere may have made a frame readable since: then its mission is no longer one that could not be read. */
const PRESENCE = `(
  select coalesce(json_group_array(json(value)), '[]') from json_each(r.presence) where not exists (
    select 1 from copies c join frames f on f.id = c.frame join missions m on m.key = f.mission
    where c.recording = r.id and m.id = json_extract(value, '$.mission') and f.trust > ${trustCode('doubtful')}))`;

/** Columns of a recording, to be followed by `from recordings r ...`. */
export const RECORDING_COLUMNS = `r.id, r.sha256, (select id from missions where key = r.mission) as mission, r.station,
  r.vouched, r.phase, r.uploaded_at, r.started_at, r.started_at_source, r.time_accuracy_seconds, r.time_base, r.bytes, r.file_name,
  r.band_claim, r.sender_key_hash, r.status, r.failure, r.audio, r.problems, r.cut_out, ${PRESENCE} as presence, r.decoder_version,
  (select count(*) from bursts where recording = r.id) as bursts,
  (select count(distinct frame) from copies where recording = r.id) as frames`;

export interface RecordingRow {
  readonly id: number;
  readonly sha256: string;
  readonly mission: string | null;
  readonly station: string;
  readonly vouched: number;
  readonly phase: number;
  readonly uploaded_at: number;
  readonly started_at: number | null;
  readonly started_at_source: string | null;
  readonly time_accuracy_seconds: number | null;
  readonly time_base: TimeBase | null;
  readonly bytes: number;
  readonly file_name: string | null;
  readonly band_claim: string | null;
  readonly sender_key_hash: Uint8Array;
  readonly status: RecordingStatus;
  readonly failure: string | null;
  readonly audio: string | null;
  readonly problems: string;
  readonly cut_out: string | null;
  readonly presence: string;
  readonly decoder_version: number | null;
  readonly bursts: number;
  readonly frames: number;
}

export function recordingOf(row: RecordingRow): StoredRecording {
  return {
    id: row.id,
    sha256: row.sha256,
    mission: row.mission,
    station: row.station,
    vouched: row.vouched === 1,
    phase: phaseOf(row.phase),
    uploadedAt: row.uploaded_at,
    startedAt: row.started_at,
    startedAtSource: row.started_at_source,
    timeAccuracySeconds: row.time_accuracy_seconds,
    timeBase: row.time_base,
    bytes: row.bytes,
    fileName: row.file_name,
    bandClaim: row.band_claim === null ? null : JSON.parse(row.band_claim),
    senderKeyHash: row.sender_key_hash,
    status: row.status,
    failure: row.failure === null ? null : JSON.parse(row.failure),
    audio: row.audio === null ? null : JSON.parse(row.audio),
    problems: JSON.parse(row.problems),
    cutOut: row.cut_out === null ? null : JSON.parse(row.cut_out),
    presence: JSON.parse(row.presence),
    decoderVersion: row.decoder_version,
    bursts: row.bursts,
    frames: row.frames,
  };
}
