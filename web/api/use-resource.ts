import { useCallback, useEffect, useRef, useState } from 'preact/hooks';
import { type ApiProblem, asProblem } from './problem.ts';

export interface Resource<T> {
  /** The last good answer; it stays while a new one is fetched, and when fetching fails. */
  readonly value: T | null;
  readonly problem: ApiProblem | null;
  readonly loading: boolean;
  readonly reload: () => void;
}

/**
 * Something fetched for a component, fetched anew when what is wanted changes; answers that come too late are dropped.
 * @param subject names what is wanted; null for nothing yet
 * @param detail how it is wanted: when only this changes, the old value stays until the new one is there
 */
export function useResource<T>(
  subject: string | null,
  load: (signal: AbortSignal) => Promise<T>,
  detail = '',
): Resource<T> {
  const [state, setState] = useState<{ of: string; value: T | null; problem: ApiProblem | null } | null>(null);
  const [loading, setLoading] = useState(false);
  const [round, setRound] = useState(0);
  const latest = useRef(load);
  latest.current = load;

  // a new detail or round means fetching again
  useEffect(() => {
    if (subject === null) return;
    const abort = new AbortController();
    setLoading(true);
    latest
      .current(abort.signal)
      .then((value) => {
        if (!abort.signal.aborted) setState({ of: subject, value, problem: null });
      })
      .catch((error: unknown) => {
        if (abort.signal.aborted) return;
        const problem = asProblem(error);
        setState((old) => ({ of: subject, value: old?.of === subject ? old.value : null, problem }));
      })
      .finally(() => {
        if (!abort.signal.aborted) setLoading(false);
      });
    return () => abort.abort();
  }, [subject, detail, round]);

  const reload = useCallback(() => setRound((n) => n + 1), []);
  const current = subject !== null && state?.of === subject ? state : null;
  return {
    value: current?.value ?? null,
    problem: current?.problem ?? null,
    loading: subject !== null && (loading || current === null),
    reload,
  };
}
