import { ascii } from './info-chunk.ts';

/** A mark in a recording, and what is written at it. */
export interface CueLabel {
  readonly id: number;
  readonly text: string;
}

const POINT_BYTES = 24;

/**
 * Where the marks of a `cue ` chunk stand (Microsoft and IBM, Multimedia Programming Interface and Data Specifications 1.0;
 * layout from memory): samples from the start, by the number of the mark.
 */
export function cuePoints(body: Uint8Array): ReadonlyMap<number, number> {
  const points = new Map<number, number>();
  const view = new DataView(body.buffer, body.byteOffset, body.byteLength);
  for (let at = 4; at + POINT_BYTES <= body.length; at += POINT_BYTES) {
    points.set(view.getUint32(at, true), view.getUint32(at + 20, true));
  }
  return points;
}

/** What is written at marks: the `labl` and `note` entries of a `LIST` chunk of type `adtl`; empty for another type. */
export function cueLabels(body: Uint8Array): CueLabel[] {
  if (ascii(body, 0, 4) !== 'adtl') return [];
  const labels: CueLabel[] = [];
  const view = new DataView(body.buffer, body.byteOffset, body.byteLength);
  for (let at = 4; at + 12 <= body.length; ) {
    const size = view.getUint32(at + 4, true);
    const kind = ascii(body, at, at + 4);
    if (kind === 'labl' || kind === 'note') {
      labels.push({ id: view.getUint32(at + 8, true), text: ascii(body, at + 12, at + 8 + size) });
    }
    at += 8 + size + (size & 1);
  }
  return labels;
}

/** Words that recorders and editors write where time is missing (common practice). */
const MISSING = /\b(?:paused?|resumed?|skip(?:ped)?|gap|vox|joined|splice)\b/i;

/** Whether a label says that time is missing there. */
export function saysGap(text: string): boolean {
  return MISSING.test(text);
}
