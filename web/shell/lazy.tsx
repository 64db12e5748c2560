import type { ComponentType } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { type ApiProblem, asProblem } from '../api/problem.ts';
import { Loading, ProblemNotice } from './notices.tsx';

/**
 * A page whose code comes only when it is wanted, so that the first page is small. When it cannot be fetched, that is
 * said, with the way to try again.
 */
export function lazyPage<P extends object>(
  what: string,
  load: () => Promise<{ readonly default: ComponentType<P> }>,
): ComponentType<P> {
  let loaded: ComponentType<P> | null = null;
  return function LazyPage(props: P) {
    const [Page, setPage] = useState<ComponentType<P> | null>(() => loaded);
    const [problem, setProblem] = useState<ApiProblem | null>(null);
    const [round, setRound] = useState(0);
    // a new round tries again
    useEffect(() => {
      if (loaded !== null) return;
      load()
        .then((module) => {
          loaded = module.default;
          setProblem(null);
          setPage(() => module.default);
        })
        .catch((error: unknown) => setProblem(asProblem(error)));
    }, [round]);
    if (problem !== null) {
      return (
        <ProblemNotice
          page
          problem={problem}
          doing={`${what.replace(/^t/, 'T')} could not be loaded`}
          onRetry={() => setRound(round + 1)}
        />
      );
    }
    return Page === null ? <Loading what={what} /> : <Page {...props} />;
  };
}
