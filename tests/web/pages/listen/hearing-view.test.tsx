import { describe, expect, it } from 'vitest';
import { HearingView } from '../../../../web/pages/listen/hearing-view.tsx';
import type { Hearing } from '../../../../web/pages/listen/hearings.ts';
import { show, textOf } from '../../support/render.ts';

const hearing = (change: Partial<Hearing>): Hearing => ({
  id: '0.1',
  provisional: false,
  over: true,
  startMs: Date.UTC(2031, 4, 4, 9, 12, 7),
  endMs: Date.UTC(2031, 4, 4, 9, 12, 15),
  baud: 45.45,
  markHz: 1275,
  spaceHz: 1445,
  ebN0Db: 9,
  text: 'Q0DUN',
  columns: [],
  frames: [],
  ...change,
});

async function section(change: Partial<Hearing>): Promise<Element> {
  const root = await show(<HearingView hearing={hearing(change)} missions={[]} />);
  const found = root.querySelector('section');
  if (found === null) throw new Error('nothing is shown');
  return found;
}

describe('one burst', () => {
  it('is read out to those who cannot see it only when it is settled', async () => {
    const guess = await section({ provisional: true, over: false });
    expect(guess.getAttribute('aria-live')).toBe('off');
    expect(textOf(guess)).toContain('provisional');
    const settled = await section({});
    expect(settled.hasAttribute('aria-live')).toBe(false);
    expect(textOf(settled)).toContain('settled');
  });
});
