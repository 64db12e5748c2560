import type { AudioProblem } from './types.ts';

/** What a file lacks that states more frames than it holds; null where it lacks nothing. */
export function cutShortProblem(
  statedFrames: number | null,
  frames: number,
  sampleRateHz: number,
): AudioProblem | null {
  if (statedFrames === null || frames >= statedFrames) return null;
  const [stated, got] = [statedFrames, frames].map((count) => (count / sampleRateHz).toFixed(1));
  const message = `The file is cut short: it states ${stated} s and holds ${got} s. Copy it again if that is not all.`;
  return { code: 'cut-short', message, atSeconds: frames / sampleRateHz };
}
