import { createLiveDecoder } from '../../../decoders/live/live-decoder.ts';
import type { LiveCharacter, LiveEvent, LiveOptions } from '../../../decoders/live/types.ts';

export interface Heard {
  readonly event: LiveEvent;
  /** Seconds of samples that had been pushed when it came. */
  readonly atSeconds: number;
}

/** Everything a live decoder says of these samples, pushed in blocks whose sizes come in turn. */
export function hear(samples: Float32Array, options: LiveOptions, blockSizes: readonly number[] = [128]): Heard[] {
  const decoder = createLiveDecoder(options);
  const heard: Heard[] = [];
  let at = 0;
  const take = (event: LiveEvent) => heard.push({ event, atSeconds: at / options.sampleRateHz });
  for (let n = 0; at < samples.length; n++) {
    const block = samples.subarray(at, at + blockSizes[n % blockSizes.length]);
    at += block.length;
    decoder.push(block, take);
  }
  decoder.end(take);
  return heard;
}

/** Characters, each with the seconds from the end of its last element until it was told. */
export function charactersOf(heard: readonly Heard[]): (LiveCharacter & { readonly lateSeconds: number })[] {
  return heard.flatMap(({ event, atSeconds }) =>
    event.type === 'character' ? [{ ...event, lateSeconds: atSeconds - event.endSeconds }] : [],
  );
}

export const textOf = (characters: readonly LiveCharacter[]): string => characters.map(({ text }) => text).join('');
