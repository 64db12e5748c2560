/** The stretch of a recording that a spectrogram shows, in seconds from the recording's start. */
export interface SoundWindow {
  readonly fromSeconds: number;
  readonly toSeconds: number;
}

/** Shorter than a character, nothing more is to be seen. */
export const SHORTEST_SECONDS = 0.25;

export const lengthOf = ({ fromSeconds, toSeconds }: SoundWindow): number => toSeconds - fromSeconds;

/** The window of this length, or the nearest there may be, that begins here or as near as the whole allows. */
function within(whole: SoundWindow, fromSeconds: number, length: number): SoundWindow {
  const room = lengthOf(whole);
  const kept = Math.min(Math.max(length, Math.min(SHORTEST_SECONDS, room)), room);
  const from = Math.min(Math.max(fromSeconds, whole.fromSeconds), whole.toSeconds - kept);
  return { fromSeconds: from, toSeconds: from + kept };
}

/** Moves a window by a share of its length, later when positive, no further than the sound goes. */
export function panned(window: SoundWindow, share: number, whole: SoundWindow): SoundWindow {
  const length = lengthOf(window);
  return within(whole, window.fromSeconds + share * length, length);
}

/**
 * Zooms around a place in the window.
 *
 * @param factor below 1 shows less time in more detail.
 * @param place share of the window's length that stays where it is, 0 to 1.
 */
export function zoomed(window: SoundWindow, factor: number, place: number, whole: SoundWindow): SoundWindow {
  const length = lengthOf(window);
  const wanted = Math.min(Math.max(length * factor, SHORTEST_SECONDS), lengthOf(whole));
  return within(whole, window.fromSeconds + (length - wanted) * place, wanted);
}

/** The window moved so that a moment is in sight: as it is where it shows it already, else with the moment early in it. */
export function showing(window: SoundWindow, seconds: number, whole: SoundWindow): SoundWindow {
  if (seconds >= window.fromSeconds && seconds <= window.toSeconds) return window;
  const length = lengthOf(window);
  return within(whole, seconds - length / 10, length);
}

/** Whole numbers of seconds, or even parts of one, at which a time axis has its ticks: at most about so many. */
export function secondTicks({ fromSeconds, toSeconds }: SoundWindow, most: number): number[] {
  const wanted = (toSeconds - fromSeconds) / Math.max(1, most);
  const step = TICK_SECONDS.find((one) => one >= wanted) ?? 3600 * Math.ceil(wanted / 3600);
  const first = Math.ceil(fromSeconds / step - 1e-9);
  const last = Math.floor(toSeconds / step + 1e-9);
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, i) => Math.round(10 * (first + i) * step) / 10);
}

const TICK_SECONDS = [0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600];
