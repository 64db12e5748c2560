import { MPEGDecoder } from 'mpg123-decoder';
import { type MpegDecoding, usableSamples } from './codecs.ts';
import { guardTraps } from './trap-guard.ts';

/** A decoder of MPEG audio frames (mpg123 compiled to WebAssembly), which cuts off nothing of its own accord. */
export async function loadMpeg(): Promise<MpegDecoding> {
  const decoder = new MPEGDecoder({ enableGapless: false });
  await decoder.ready;
  const { run, free } = guardTraps(
    (frame: Uint8Array) => decoder.decodeFrame(frame),
    () => decoder.free(),
  );
  return {
    decode(frame) {
      const decoded = run(frame);
      if (decoded === null || decoded.errors.length > 0 || decoded.samplesDecoded === 0) return null;
      return usableSamples(decoded.channelData, decoded.samplesDecoded);
    },
    free,
  };
}
