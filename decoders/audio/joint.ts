import type { AudioProblem } from './types.ts';

/** Where a second stream follows the first in one file: between the two any time may have passed. */
export function jointProblem(atSeconds: number): AudioProblem {
  const message =
    `A second stream begins at ${atSeconds.toFixed(1)} s: the recorder began anew there, or files were joined. Times behind ` +
    'it are uncertain.';
  return { code: 'time-gaps', message, atSeconds };
}

/** Where what follows has another rate or other channels, and cannot go on in the same recording. */
export function secondStreamProblem(atSeconds: number): AudioProblem {
  const message = 'Another stream of another form follows; it was left out. Cut the file in two.';
  return { code: 'second-stream', message, atSeconds };
}
