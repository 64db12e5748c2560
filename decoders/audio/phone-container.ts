import { beginsWith, isAdts } from './signatures.ts';

/** A container that phones and cameras write and that no reader here reads: ffmpeg does, or a browser. */
export interface PhoneContainer {
  /** What ffmpeg calls it. */
  readonly demuxer: string;
  /** What a person calls it. */
  readonly name: string;
}

/** Containers by their first bytes; `?` stands for any byte. */
const CONTAINERS: readonly (readonly [pattern: string, container: PhoneContainer])[] = [
  ['????ftyp', { demuxer: 'mov', name: 'MPEG-4 (M4A, 3GP or video)' }],
  ['\x1aE\xdf\xa3', { demuxer: 'matroska', name: 'Matroska or WebM' }],
  ['#!AMR', { demuxer: 'amr', name: 'AMR' }],
  ['RIFF????AVI ', { demuxer: 'avi', name: 'AVI video' }],
  ['caff', { demuxer: 'caf', name: 'Core Audio' }],
  ['0&\xb2u', { demuxer: 'asf', name: 'Windows Media' }],
];

/** The container by a file's first bytes (12 are enough), whatever its name; null when it is none of these. */
export function phoneContainer(firstBytes: Uint8Array): PhoneContainer | null {
  const known = CONTAINERS.find(([pattern]) => beginsWith(firstBytes, pattern))?.[1];
  return known ?? (isAdts(firstBytes) ? { demuxer: 'aac', name: 'AAC' } : null);
}
