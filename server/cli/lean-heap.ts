import { setFlagsFromString } from 'node:v8';

/**
 * From now on V8 takes little more memory than its objects need: what decoding needs for longer is little, and more
 * collections cost no time that could be measured. By default the space of young objects doubles whenever as much as it
 * holds has outlived a collection, up to 32 MB and more, so that every long recording gets there, and old objects may become
 * twice as many before they are looked through.
 *
 * V8 reads these two at each collection, unlike the usual bounds, which count only as it starts. They hold for all threads;
 * a new one may set them back.
 */
export function keepHeapLean(): void {
  setFlagsFromString('--semi-space-growth-factor=1');
  setFlagsFromString('--heap-growing-percent=20');
}
