import { mixInto } from './channel.ts';
import { ensure } from './ensure.ts';
import type { Source } from './source.ts';

/** A sound at its place in a scene, made only when its time comes and forgotten when it is over. */
export interface PlacedSound {
  /** Seconds from the scene's start, between samples too. */
  readonly startSeconds: number;
  /**
   * Makes the samples, the first of them at or just before the start; `startOffsetSamples` (0 <= it < 1) is how long
   * after it the sound begins, as `keyBurst` takes it.
   */
  readonly make: (startOffsetSamples: number) => Float32Array;
}

/**
 * Sounds placed over a background, block by block; memory for the sounds that sound at the moment. Places may be given
 * in any order and overlap.
 */
export function scene(background: Source, sounds: readonly PlacedSound[], sampleRateHz: number): Source {
  const waiting = sounds
    .map(({ startSeconds, make }) => {
      ensure(startSeconds >= 0, 'bad-place', `a sound is placed at ${startSeconds} s; it must be 0 or more`);
      return { start: startSeconds * sampleRateHz, make };
    })
    .sort((a, b) => b.start - a.start);
  let sounding: { readonly at: number; readonly samples: Float32Array }[] = [];
  let position = 0;
  return {
    fill(block) {
      background.fill(block);
      const end = position + block.length;
      for (let next = waiting.at(-1); next !== undefined && next.start < end; next = waiting.at(-1)) {
        waiting.pop();
        const at = Math.floor(next.start);
        sounding.push({ at, samples: next.make(next.start - at) });
      }
      for (const { at, samples } of sounding) {
        mixInto(block, samples, at - position);
      }
      sounding = sounding.filter(({ at, samples }) => at + samples.length > end);
      position = end;
    },
  };
}
