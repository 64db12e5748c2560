import { type AudioCodecs, codecOf } from '../codecs.ts';
import { beginsWith } from '../signatures.ts';
import type { OggCodec } from './codec.ts';
import { OggFlac } from './flac.ts';
import { OggOpus } from './opus.ts';
import { OggVorbis } from './vorbis.ts';

/** How the first packet of a logical stream begins. */
const SIGNATURES: readonly (readonly [signature: string, name: string])[] = [
  ['OpusHead', 'Opus'],
  ['\x01vorbis', 'Vorbis'],
  ['\x7fFLAC', 'FLAC'],
  ['Speex   ', 'Speex'],
  ['\x80theora', 'Theora'],
  ['fishead\0', 'Skeleton'],
];

/** What a logical stream holds, by its first packet. */
export function oggStreamName(first: Uint8Array): string {
  return SIGNATURES.find(([signature]) => beginsWith(first, signature))?.[1] ?? 'unknown';
}

/**
 * The decoder of a logical stream, by its first packet; null when it is none that is read.
 *
 * @throws AudioError `codec-not-loaded`, and what the codec throws.
 */
export function beginOggCodec(first: Uint8Array, codecs: AudioCodecs): OggCodec | null {
  switch (oggStreamName(first)) {
    case 'Opus':
      return new OggOpus(first, codecOf(codecs.opus, 'Opus'));
    case 'Vorbis':
      return new OggVorbis(first, codecOf(codecs.vorbis, 'Vorbis'));
    case 'FLAC':
      return new OggFlac(first);
    default:
      return null;
  }
}
