// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { queryText } from '../../../../web/address/address.ts';
import { logQuery, readLogView } from '../../../../web/pages/frames/log-view.ts';

describe('the filters of the log in the address', () => {
  it('show all when nothing is said', () => {
    expect(readLogView(new URLSearchParams())).toEqual({
      trust: 'doubtful',
      station: '',
      fromMs: null,
      toMs: null,
      after: null,
    });
  });

  it('come back as they were sent', () => {
    const view = {
      trust: 'probable',
      station: 'Q1LARK/P',
      fromMs: Date.UTC(2031, 4, 4),
      toMs: null,
      after: 'f90',
    } as const;
    expect(readLogView(new URLSearchParams(queryText(logQuery(view))))).toEqual(view);
  });

  it('make nothing of what makes no sense', () => {
    const view = readLogView(new URLSearchParams('trust=blind&from=yesterday'));
    expect(view).toMatchObject({ trust: 'doubtful', fromMs: null });
  });
});
