import { closeSync, openSync } from 'node:fs';
import { RecordingReader } from '../../decoders/audio/open.ts';
import type { AudioInfo } from '../../decoders/audio/types.ts';
import { LONGEST_CUT_OUT_SECONDS } from '../../decoders/cut-outs/stretches.ts';
import { FiveunitError } from '../../decoders/errors.ts';
import { firstBytes } from '../audio/file-pieces.ts';
import { Refusal } from '../refusal.ts';
import type { IncomingFile } from '../store/files.ts';

/** Header, comments and some frames of a FLAC file that nothing was embedded in. */
const HEAD_BYTES = 64 * 1024;

/** Refuses what is no cut-out: anything but FLAC of one channel that states a length of some minutes at most. */
export function needCutOut({ path, bytes }: IncomingFile): void {
  if (bytes === 0) throw unfit('the file has no bytes');
  const info = headOf(path);
  if (info === null || !info.encoding.startsWith('flac')) throw unfit('the file is no FLAC');
  if (info.channels !== 1) throw unfit(`the file has ${info.channels} channels`);
  if (info.statedFrames === null) throw unfit('the file does not state its length');
  const seconds = info.statedFrames / info.sampleRateHz;
  if (seconds > LONGEST_CUT_OUT_SECONDS) throw unfit(`the file lasts ${Math.round(seconds)} s`);
}

function headOf(path: string): AudioInfo | null {
  const file = openSync(path, 'r');
  try {
    const reader = new RecordingReader();
    const head = firstBytes(file, HEAD_BYTES);
    reader.push(head, () => {});
    if (head.length < HEAD_BYTES) reader.end(() => {});
    return reader.info;
  } catch (error) {
    if (error instanceof FiveunitError) return null;
    throw error;
  } finally {
    closeSync(file);
  }
}

function unfit(reason: string): Refusal {
  return new Refusal(
    'cut-out-unfit',
    `${reason}: a cut-out is FLAC of one channel and at most ${LONGEST_CUT_OUT_SECONDS} s; send recordings to /api/recordings`,
    { at: 'body/file', limit: LONGEST_CUT_OUT_SECONDS },
  );
}
