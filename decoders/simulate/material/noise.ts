import { Random } from '../random.ts';
import type { MaterialOptions, Source } from '../source.ts';

/** White noise with a standard deviation of 0.125 (times gain). */
export function whiteNoise({ seed, gain = 1 }: MaterialOptions): Source {
  const random = new Random(seed).branch('noise');
  return {
    fill(block) {
      block.fill(0);
      random.addGaussian(block, 0.125 * gain);
    },
  };
}
