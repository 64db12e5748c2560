import { useEffect, useRef, useState } from 'preact/hooks';
import type { Mission } from '../../../decoders/mission/types.ts';
import { type ApiProblem, asProblem } from '../../api/problem.ts';
import { LineReader } from './line-reader.ts';
import type { LineReading } from './read-line.ts';

/** So long after the last key a line is read: nobody reads results between two keys. */
const SETTLE_MS = 150;

export interface LineState {
  /** What the line says; null for an empty line, and until the first is read. */
  readonly reading: LineReading | null;
  /** The text that `reading` is of. */
  readonly text: string;
  readonly problem: ApiProblem | null;
}

const NOTHING: LineState = { reading: null, text: '', problem: null };

/** What a line says while it is being typed. */
export function useLineReading(mission: Mission | null, typed: string): LineState {
  const [state, setState] = useState(NOTHING);
  const reader = useRef<LineReader | null>(null);
  const asked = useRef('');

  useEffect(() => () => reader.current?.close(), []);

  useEffect(() => {
    if (mission === null || typed.trim() === '') {
      reader.current?.forget();
      setState(NOTHING);
      return;
    }
    const timer = setTimeout(() => {
      reader.current ??= new LineReader(
        (reading) => setState({ reading, text: asked.current, problem: null }),
        (error) => setState({ ...NOTHING, problem: asProblem(error) }),
      );
      asked.current = typed;
      reader.current.read(mission, typed);
    }, SETTLE_MS);
    return () => clearTimeout(timer);
  }, [mission, typed]);

  return state;
}
