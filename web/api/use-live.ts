import { useEffect, useRef } from 'preact/hooks';
import { type LiveNote, onLive } from './live.ts';

/** Hears every live event for as long as the component stands. */
export function useLive(listener: (note: LiveNote) => void): void {
  const latest = useRef(listener);
  latest.current = listener;
  useEffect(() => onLive((note) => latest.current(note)), []);
}
