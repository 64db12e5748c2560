import { PREPARE_BYTES, prepareAudio } from '../../../decoders/audio/prepare.ts';
import type { DecodeEvent, DecodeOptions } from '../../../decoders/decode.ts';
import { FiveunitError } from '../../../decoders/errors.ts';
import type { Mission } from '../../../decoders/mission/types.ts';
import { createRecordingDecoder } from '../../../decoders/recording.ts';
import { recordingFiles } from '../../sigmf-files.ts';
import { peek, pieces } from '../inputs.ts';
import type { Io } from '../io.ts';
import { sentFile } from './sent-file.ts';

/** A beacon comes about once a minute: so much holds some of it, and costs seconds. */
const LOOK_SECONDS = 240;

/**
 * The mission of the first frame in the first minutes of a recording; null when none is read there, which says nothing of
 * the rest.
 */
export async function probableMission(
  path: string,
  missions: readonly Mission[],
  io: Io,
  band: Pick<DecodeOptions, 'iq'> = {},
): Promise<string | null> {
  if (missions.length === 0) return null;
  const { first, pieces: all } = await peek(pieces(await sentFile(path, io)), PREPARE_BYTES);
  const { sigmfMeta } = recordingFiles(path);
  const decoder = createRecordingDecoder({
    missions,
    codecs: await prepareAudio(first),
    ...band,
    ...(sigmfMeta === null ? {} : { sigmfMeta }),
  });
  let found: string | null = null;
  let seconds = 0;
  const onEvent = (event: DecodeEvent): void => {
    if (event.type === 'progress') seconds = event.seconds;
    if (event.type !== 'burst') return;
    found ??= event.frames.find(({ frame }) => frame.trust !== 'doubtful')?.mission ?? null;
  };
  try {
    for await (const piece of all) {
      decoder.push(piece, onEvent);
      if (found !== null || seconds >= LOOK_SECONDS) return found;
    }
    decoder.end(onEvent);
  } catch (error) {
    // What cannot be read here may be read by the server.
    if (!(error instanceof FiveunitError)) throw error;
  }
  return found;
}
