import { describe, expect, it } from 'vitest';
import { ApiProblem } from '../../../web/api/problem.ts';
import { ProblemNotice } from '../../../web/shell/notices.tsx';
import { byText, show, textOf } from '../support/render.ts';

const busy = new ApiProblem('busy', 503, 'the database is being backed up');
const gone = new ApiProblem('recording-unknown', 404, 'There is no recording r9.');

describe('what went wrong', () => {
  it('heads the page when nothing else stands on it', async () => {
    const alone = await show(<ProblemNotice page problem={busy} doing="Recording r9 could not be shown" />);
    expect(textOf(alone.querySelector('h1'))).toBe('Recording r9 could not be shown');
    const beside = await show(<ProblemNotice problem={busy} doing="Recording r9 could not be shown" />);
    expect(beside.querySelector('h1')).toBeNull();
    expect(textOf(beside)).toContain('Recording r9 could not be shown. The database is being backed up.');
  });

  it('offers to try again only what may go through', async () => {
    const again = (): void => {};
    const passing = await show(<ProblemNotice problem={busy} doing="It failed" onRetry={again} />);
    expect(byText(passing, 'Try again')).not.toBeNull();
    const lasting = await show(
      <ProblemNotice problem={gone} doing="It failed" onRetry={again}>
        <a href="/recordings">All recordings</a>
      </ProblemNotice>,
    );
    expect(byText(lasting, 'Try again')).toBeNull();
    expect(byText(lasting, 'All recordings')).not.toBeNull();
  });
});
