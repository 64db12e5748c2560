import type {
  FrameAccepted,
  FrameDetail,
  FrameList,
  FrameUpload,
  MissionDefinition,
  MissionList,
  Now,
  Phase,
  Readings,
  Recording,
  RecordingBursts,
  RecordingChange,
  RecordingList,
  Settings,
} from '../../server/http/messages.ts';
import { type Query, queryText } from '../address/address.ts';
import { request, requestBytes } from './client.ts';
import { keyFor } from './viewer-key.ts';

const segment = encodeURIComponent;

function withQuery(path: string, query: Query): string {
  const text = queryText(query);
  return text === '' ? path : `${path}?${text}`;
}

export const getSettings = (signal?: AbortSignal): Promise<Settings> => request('/api/settings', options(signal));

export const getMissions = (signal?: AbortSignal): Promise<MissionList> => request('/api/missions', options(signal));

/** The definition as its author wrote it; read it with `readMission`. */
export const getMission = (id: string, version: number | null, signal?: AbortSignal): Promise<MissionDefinition> =>
  request(withQuery(`/api/missions/${segment(id)}`, { version }), options(signal));

export const getNow = (mission: string, phase: Phase, signal?: AbortSignal): Promise<Now> =>
  request(withQuery(`/api/missions/${segment(mission)}/now`, { phase }), options(signal));

export interface ReadingsQuery {
  readonly parameter: readonly string[];
  readonly from: string;
  readonly to: string;
  readonly points: number;
  readonly trust: 'probable' | 'doubtful';
  readonly phase: Phase;
}

export const getReadings = (mission: string, query: ReadingsQuery, signal?: AbortSignal): Promise<Readings> =>
  request(withQuery(`/api/missions/${segment(mission)}/readings`, { ...query }), options(signal));

export interface FramesQuery extends Query {
  readonly from?: string | null;
  readonly to?: string | null;
  readonly station?: string | null;
  readonly trust?: string | null;
  readonly after?: string | null;
  readonly limit?: number;
  readonly phase?: Phase;
}

export const getFrames = (mission: string, query: FramesQuery, signal?: AbortSignal): Promise<FrameList> =>
  request(withQuery(`/api/missions/${segment(mission)}/frames`, { ...query }), options(signal));

export const getFrame = (id: string, signal?: AbortSignal): Promise<FrameDetail> =>
  request(`/api/frames/${segment(id)}`, options(signal));

export const sendFrame = (frame: FrameUpload): Promise<FrameAccepted> =>
  request('/api/frames', { method: 'POST', body: frame });

export const getRecordings = (after: string | null, signal?: AbortSignal): Promise<RecordingList> =>
  request(withQuery('/api/recordings', { after, limit: 50 }), options(signal));

export const getRecording = (id: string, signal?: AbortSignal): Promise<Recording> =>
  request(`/api/recordings/${segment(id)}`, { ...options(signal), key: keyFor(id) });

/** A recording as the holder of a key sees it. */
export const getRecordingWith = (id: string, key: string): Promise<Recording> =>
  request(`/api/recordings/${segment(id)}`, { key });

export const getBursts = (id: string, signal?: AbortSignal): Promise<RecordingBursts> =>
  request(`/api/recordings/${segment(id)}/bursts`, { ...options(signal), key: keyFor(id) });

/** WAV of a burst and what is heard with it. */
export const getBurstSound = (recording: string, index: number): Promise<Uint8Array> =>
  requestBytes(`/api/recordings/${segment(recording)}/bursts/${index}/audio`, { key: keyFor(recording) });

/** WAV of any stretch, seconds from the start of the recording; or only of pieces of it. For its sender and the team. */
export const getStretch = (
  recording: string,
  stretch: { readonly from: number; readonly to: number; readonly pieces?: number },
): Promise<Uint8Array> =>
  requestBytes(withQuery(`/api/recordings/${segment(recording)}/stretch`, stretch), { key: keyFor(recording) });

/** Says when a recording began; its frames and readings are dated anew. */
export const changeRecording = (id: string, change: RecordingChange): Promise<Recording> =>
  request(`/api/recordings/${segment(id)}`, { method: 'PATCH', body: change, key: keyFor(id) });

export const deleteRecording = (id: string): Promise<void> =>
  request(`/api/recordings/${segment(id)}`, { method: 'DELETE', key: keyFor(id) });

function options(signal: AbortSignal | undefined): { readonly signal?: AbortSignal } {
  return signal === undefined ? {} : { signal };
}
