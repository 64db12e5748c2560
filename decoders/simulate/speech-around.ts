import type { OnAir } from './keyed-carrier.ts';
import type { Source } from './source.ts';
import { loop } from './source.ts';

/** Speech makes room so long before a burst and comes back so long after it. */
const PAUSE_SECONDS = 0.3;

/** Speech over and over, silent about the bursts (in order) unless it is to talk over them. */
export function speechAround(
  samples: Float32Array,
  bursts: readonly OnAir[],
  overBursts: boolean,
  sampleRateHz: number,
): Source {
  const talk = loop(samples);
  if (overBursts) return talk;
  const pauses = bursts.map(({ startSeconds, endSeconds }) => ({
    from: (startSeconds - PAUSE_SECONDS) * sampleRateHz,
    to: (endSeconds + PAUSE_SECONDS) * sampleRateHz,
  }));
  let position = 0;
  let next = 0;
  return {
    fill(block) {
      talk.fill(block);
      for (let i = 0; i < block.length; i++, position++) {
        while (next < pauses.length && position >= pauses[next].to) next++;
        if (next < pauses.length && position >= pauses[next].from) block[i] = 0;
      }
    },
  };
}
