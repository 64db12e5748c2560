import { useEffect, useRef } from 'preact/hooks';
import { type LiveNote, onLive } from './live.ts';

/** A pass brings frames by the dozen: so long they are gathered before the page looks anew. */
const GATHER_MS = 800;

/** Calls `onNews` soon after events that matter, once for a whole flurry of them. */
export function useNews(matters: (note: LiveNote) => boolean, onNews: () => void): void {
  const latest = useRef({ matters, onNews });
  latest.current = { matters, onNews };
  useEffect(() => {
    let timer: number | undefined;
    const stop = onLive((note) => {
      if (timer !== undefined || !latest.current.matters(note)) return;
      timer = window.setTimeout(() => {
        timer = undefined;
        latest.current.onNews();
      }, GATHER_MS);
    });
    return () => {
      stop();
      window.clearTimeout(timer);
    };
  }, []);
}

/** Whether an event may have changed the readings of a mission. */
export function touchesMission(note: LiveNote, mission: string): boolean {
  switch (note.type) {
    case 'look-anew':
      return true;
    case 'frame':
    case 'frame-redecided':
      return note.frame.mission === mission;
    case 'mission':
      return note.mission === mission;
    case 'recording':
      return note.missions.includes(mission);
    default:
      return false;
  }
}
