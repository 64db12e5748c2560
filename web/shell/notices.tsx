import type { ComponentChildren } from 'preact';
import type { ApiProblem } from '../api/problem.ts';
import { sentence } from '../words/sentence.ts';
import { spanText } from '../words/time.ts';
import './notices.css';

/** What would be here, and the one action that fills it. `page` when nothing else stands on the page. */
export function Empty({
  title,
  page = false,
  children,
}: {
  readonly title: string;
  readonly page?: boolean;
  readonly children: ComponentChildren;
}) {
  return (
    <div class="notice empty">
      {page ? <h1>{title}</h1> : <h2>{title}</h2>}
      {children}
    </div>
  );
}

const NOT_FOUND = 404;

/** What happened, what was kept, what to do. `page` when nothing else stands on the page. */
export function ProblemNotice({
  problem,
  doing,
  page = false,
  onRetry,
  children,
}: {
  readonly problem: ApiProblem;
  /** What was being done, for instance `The recordings could not be listed`. */
  readonly doing: string;
  readonly page?: boolean;
  /** Offered unless the thing does not exist. */
  readonly onRetry?: () => void;
  /** Other ways on. */
  readonly children?: ComponentChildren;
}) {
  const { retryAfterSeconds } = problem.details;
  return (
    <div class="notice problem" role="alert">
      {page && <h1>{doing}</h1>}
      <p>
        {!page && <strong>{doing}.</strong>} {sentence(problem.message)}
        {retryAfterSeconds !== undefined && ` It may be tried again in ${spanText(retryAfterSeconds)}.`}
      </p>
      <p class="small faint">
        <code>{problem.code}</code>
      </p>
      {onRetry !== undefined && problem.status !== NOT_FOUND && (
        <button type="button" onClick={onRetry}>
          Try again
        </button>
      )}
      {children}
    </div>
  );
}

export function Loading({ what }: { readonly what: string }) {
  return (
    <p class="loading faint" role="status">
      Loading {what} …
    </p>
  );
}
