import { hashKey, sameHash } from '../keys/secrets.ts';
import type { TeamKey } from '../keys/team-key.ts';
import { Refusal } from '../refusal.ts';
import type { RecordingStore, StationStore } from '../store/store.ts';

/** Who asks, by the key that came along. */
export type Caller =
  | { readonly kind: 'nobody' }
  /** Holds the key that was given when this recording was sent. */
  | { readonly kind: 'sender'; readonly recording: number }
  | { readonly kind: 'station'; readonly callSign: string }
  | { readonly kind: 'team' };

export const NOBODY: Caller = { kind: 'nobody' };

/** The key in an `Authorization` header; null without one. */
export function bearerKey(header: string | undefined): string | null {
  if (header === undefined) return null;
  const match = /^Bearer +(\S+) *$/i.exec(header);
  if (match === null) {
    throw new Refusal('key-unknown', 'the Authorization header must read "Bearer KEY"', {
      at: 'headers/authorization',
    });
  }
  return match[1];
}

/** Finds out whose key it is. A key that is nobody's is refused: its owner would otherwise go unvouched without knowing. */
export async function callerWith(
  key: string | null,
  teamKey: TeamKey,
  store: StationStore & RecordingStore,
): Promise<Caller> {
  if (key === null) return NOBODY;
  const hash = hashKey(key);
  if (sameHash(hash, teamKey.hash)) return { kind: 'team' };
  const station = await store.stationByKeyHash(hash);
  if (station !== null && sameHash(hash, station.keyHash)) return { kind: 'station', callSign: station.callSign };
  const recording = await store.recordingBySenderKeyHash(hash);
  if (recording !== null && sameHash(hash, recording.senderKeyHash)) return { kind: 'sender', recording: recording.id };
  throw new Refusal('key-unknown', 'no station has this key, or it was revoked: ask the team for a new one', {
    at: 'headers/authorization',
  });
}
