// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { ApiProblem, asProblem, problemOf, unreachable } from '../../../web/api/problem.ts';

describe('a refusal', () => {
  it('is said in the words of the server', () => {
    const body = JSON.stringify({
      type: 'about:blank',
      title: 'Too large',
      status: 413,
      detail: 'The limit is 2 GB.',
      code: 'too-large',
      limit: 2e9,
    });
    const problem = problemOf(413, body);
    expect(problem).toMatchObject({ code: 'too-large', status: 413, message: 'The limit is 2 GB.' });
    expect(problem.details.limit).toBe(2e9);
  });

  it.each(['<html><script>alert(1)</script></html>', '', 'null', '[]', '{"code":7,"detail":null}'])(
    'from something else on the way (%s) still says what to do',
    (body) => {
      const problem = problemOf(502, body);
      expect(problem.code).toBe('http-502');
      expect(problem.message).toContain('try again');
      expect(problem.message).not.toContain('<');
    },
  );
});

describe('what was thrown', () => {
  it('is kept when it is a problem and said when it is not', () => {
    const lost = unreachable();
    expect(asProblem(lost)).toBe(lost);
    expect(asProblem(new TypeError('x is not a function'))).toMatchObject({ code: 'page-fault' });
    expect(asProblem('odd')).toBeInstanceOf(ApiProblem);
  });
});
