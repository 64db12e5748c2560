import type { DecodeEvent, DecodeOptions, DecodeSummary } from '../../../decoders/decode.ts';
import { createRecordingDecoder } from '../../../decoders/recording.ts';

export type BurstEvent = Extract<DecodeEvent, { type: 'burst' }>;

/** Decodes the bytes of a recording, pushed in pieces of the given size. */
export function decodeBytes(
  bytes: Uint8Array,
  options: DecodeOptions = { missions: [] },
  pieceBytes = bytes.length || 1,
): { bursts: BurstEvent[]; summary: DecodeSummary } {
  const decoder = createRecordingDecoder(options);
  const bursts: BurstEvent[] = [];
  const take = (event: DecodeEvent) => {
    if (event.type === 'burst') bursts.push(event);
  };
  for (let at = 0; at < bytes.length; at += pieceBytes) decoder.push(bytes.subarray(at, at + pieceBytes), take);
  return { bursts, summary: decoder.end(take) };
}
