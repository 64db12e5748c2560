import { OggVorbisDecoder } from '@wasm-audio-decoders/ogg-vorbis';
import { usableSamples, type VorbisDecoding } from './codecs.ts';
import { guardTraps } from './trap-guard.ts';

/** What the decoder's input buffer holds. */
const LARGEST_PACKET = 2 ** 17;

/** The package's decoder of bare packets: what it makes public takes pages apart again, and only asynchronously. */
interface PacketDecoder {
  sendSetupHeader(packet: Uint8Array): void;
  initDsp(): void;
  decodePackets(packets: readonly Uint8Array[]): {
    readonly channelData: readonly Float32Array[];
    readonly samplesDecoded: number;
    readonly errors: readonly unknown[];
  };
}

/** A decoder of Vorbis packets (libvorbis compiled to WebAssembly). */
export async function loadVorbis(): Promise<VorbisDecoding> {
  const whole = new OggVorbisDecoder();
  await whole.ready;
  const decoder: unknown = Reflect.get(whole, '_decoder');
  if (!isPacketDecoder(decoder))
    throw new Error('the version of @wasm-audio-decoders/ogg-vorbis is another than asked for');
  const { run, free } = guardTraps(
    (use: () => ReturnType<PacketDecoder['decodePackets']> | null) => use(),
    () => whole.free(),
  );
  return {
    begin(identification, setup) {
      if (setup.length > LARGEST_PACKET) return false;
      const begun = run(() => {
        decoder.sendSetupHeader(identification);
        decoder.sendSetupHeader(setup);
        decoder.initDsp();
        return decoder.decodePackets([]);
      });
      return begun !== null;
    },
    decode(packet) {
      const decoded = packet.length > LARGEST_PACKET ? null : run(() => decoder.decodePackets([packet]));
      if (decoded === null || decoded.errors.length > 0) return null;
      return usableSamples(decoded.channelData, decoded.samplesDecoded);
    },
    free,
  };
}

function isPacketDecoder(value: unknown): value is PacketDecoder {
  if (typeof value !== 'object' || value === null) return false;
  return ['sendSetupHeader', 'initDsp', 'decodePackets'].every(
    (name) => typeof Reflect.get(value, name) === 'function',
  );
}
