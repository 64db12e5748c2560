import type { RecordingStart } from '../../../decoders/audio/start-time.ts';
import { printable } from '../output/printable.ts';
import { aligned } from '../output/table.ts';

/** What became of a file. */
export interface Outcome {
  readonly path: string;
  readonly start: RecordingStart | null;
  readonly mission: string;
  readonly words: string;
}

/** One table of what became of each file; empty for none. */
export function outcomeTable(outcomes: readonly Outcome[]): string[] {
  if (outcomes.length === 0) return [];
  const head = ['FILE', 'BEGAN', 'SAID BY', 'MISSION', 'OUTCOME'];
  const rows = outcomes.map(({ path, start, mission, words }) => [
    printable(path),
    startText(start),
    start?.source ?? '-',
    mission,
    printable(words),
  ]);
  return aligned([head, ...rows]);
}

function startText(start: RecordingStart | null): string {
  if (start === null) return 'not known';
  const iso = start.iso.replace(/\.000Z$/, 'Z');
  return start.zoneStated ? iso : `${iso} (zone not stated)`;
}
