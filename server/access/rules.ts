import { baseCallSign } from '../call-sign.ts';
import { Refusal } from '../refusal.ts';
import type { StoredRecording } from '../store/records.ts';
import type { Caller } from './caller.ts';

/** Private missions are read by the team and by stations that have a key. */
export function maySeePrivate(caller: Caller): boolean {
  return caller.kind === 'team' || caller.kind === 'station';
}

/** Whether the caller stands for what it sends under this call sign. A station may add parts: Q1LARK sends as Q1LARK/P. */
export function vouchesFor(caller: Caller, station: string): boolean {
  if (caller.kind === 'team') return true;
  if (caller.kind !== 'station') return false;
  if (baseCallSign(station) === baseCallSign(caller.callSign)) return true;
  throw new Refusal(
    'station-mismatch',
    `the key belongs to ${caller.callSign}, the station given is ${station}: send under the key's own call sign`,
    { at: 'body/station' },
  );
}

/** Whether a recording is the caller's own: it may see all of it, change and delete it. */
export function owns(caller: Caller, recording: StoredRecording): boolean {
  switch (caller.kind) {
    case 'team':
      return true;
    case 'station':
      // Anyone may have used its call sign without the key.
      return recording.vouched && baseCallSign(caller.callSign) === baseCallSign(recording.station);
    case 'sender':
      return caller.recording === recording.id;
    case 'nobody':
      return false;
  }
}

export function needTeam(caller: Caller): void {
  if (caller.kind === 'team') return;
  if (caller.kind === 'nobody') throw new Refusal('key-needed', 'send the team key as "Authorization: Bearer KEY"');
  throw new Refusal('team-key-needed', 'the key that was sent is not the team key');
}

export function needOwner(caller: Caller, recording: StoredRecording): void {
  if (owns(caller, recording)) return;
  if (caller.kind === 'nobody') {
    throw new Refusal(
      'key-needed',
      "send the key that was given when this recording was sent, its station's, or the team's",
    );
  }
  throw new Refusal(
    'not-yours',
    'the key that was sent is neither that of the sender of this recording nor the team key',
  );
}
