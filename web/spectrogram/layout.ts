import { lengthOf, type SoundWindow } from './sound-window.ts';
import { TOP_HZ } from './spectra.ts';

/** Room for the names of bursts above the picture, and for the time axis below it; for the frequency axis at its left. */
export const NAMES_HEIGHT = 22;
export const PLOT_HEIGHT = 184;
export const AXIS_HEIGHT = 22;
export const LEFT_ROOM = 34;
export const HEIGHT = NAMES_HEIGHT + PLOT_HEIGHT + AXIS_HEIGHT;

/** Frequency around the tones of a burst that its outline leaves free. */
const OUTLINE_MARGIN_HZ = 150;

/** A burst as a spectrogram marks it; its tones are those of its middle. */
export interface MarkedBurst {
  readonly index: number;
  readonly startSeconds: number;
  readonly endSeconds: number;
  readonly markHz: number;
  readonly spaceHz: number;
  readonly driftHzPerSecond: number;
}

/** Where times and frequencies stand in a picture so many pixels wide. */
export interface Places {
  x(seconds: number): number;
  secondsAt(x: number): number;
  y(hz: number): number;
}

export function placesIn(window: SoundWindow, width: number): Places {
  const plot = Math.max(1, width - LEFT_ROOM);
  const perSecond = plot / lengthOf(window);
  return {
    x: (seconds) => LEFT_ROOM + (seconds - window.fromSeconds) * perSecond,
    secondsAt: (x) => window.fromSeconds + (x - LEFT_ROOM) / perSecond,
    y: (hz) => NAMES_HEIGHT + PLOT_HEIGHT * (1 - hz / TOP_HZ),
  };
}

/** Corners of the outline of a burst that drifts: a parallelogram around its tones, from its start to its end. */
export function outlineOf(burst: MarkedBurst, { x, y }: Places): string {
  const drift = (burst.driftHzPerSecond * (burst.endSeconds - burst.startSeconds)) / 2;
  const high = Math.max(burst.markHz, burst.spaceHz) + OUTLINE_MARGIN_HZ;
  const low = Math.min(burst.markHz, burst.spaceHz) - OUTLINE_MARGIN_HZ;
  const corners = [
    [burst.startSeconds, high - drift],
    [burst.endSeconds, high + drift],
    [burst.endSeconds, low + drift],
    [burst.startSeconds, low - drift],
  ];
  return corners.map(([seconds, hz]) => `${x(seconds).toFixed(1)},${y(hz).toFixed(1)}`).join(' ');
}

export interface PlacedName {
  readonly index: number;
  readonly text: string;
  readonly x: number;
}

const CHARACTER_WIDTH = 7;

/** Names of the bursts in sight, each where its burst begins; those without room are left out. */
export function namesOf(bursts: readonly MarkedBurst[], places: Places, width: number): PlacedName[] {
  const names: PlacedName[] = [];
  let free = LEFT_ROOM;
  for (const { index, startSeconds, endSeconds } of bursts) {
    if (places.x(endSeconds) < LEFT_ROOM || places.x(startSeconds) > width) continue;
    const text = `Burst ${index + 1}`;
    const x = Math.max(places.x(startSeconds), LEFT_ROOM);
    if (x < free || x + text.length * CHARACTER_WIDTH > width) continue;
    names.push({ index, text, x });
    free = x + (text.length + 1) * CHARACTER_WIDTH;
  }
  return names;
}
