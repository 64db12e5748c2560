import { OpusDecoder } from 'opus-decoder';
import { type OpusDecoding, usableSamples } from './codecs.ts';
import { guardTraps } from './trap-guard.ts';

/** What the decoder's input buffer holds for each channel: no packet of a usual rate is larger. */
const LARGEST_PACKET = 3840;

/** A decoder of Opus packets (libopus compiled to WebAssembly) to one or two channels. */
export async function loadOpus(channels: 1 | 2): Promise<OpusDecoding> {
  const decoder = new OpusDecoder({ channels });
  await decoder.ready;
  const { run, free } = guardTraps(
    (packet: Uint8Array) => decoder.decodeFrame(packet),
    () => decoder.free(),
  );
  return {
    channels,
    decode(packet) {
      const decoded = packet.length > LARGEST_PACKET * channels ? null : run(packet);
      if (decoded === null || decoded.errors.length > 0 || decoded.samplesDecoded === 0) return null;
      return usableSamples(decoded.channelData, decoded.samplesDecoded);
    },
    free,
  };
}
