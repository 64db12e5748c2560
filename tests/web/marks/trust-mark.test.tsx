import { describe, expect, it } from 'vitest';
import { StateMark } from '../../../web/marks/state-mark.tsx';
import { TrustMark, UnvouchedMark } from '../../../web/marks/trust-mark.tsx';
import { show, textOf } from '../support/render.ts';

describe('marks', () => {
  it('always have their word in reach', async () => {
    for (const trust of ['confirmed', 'probable', 'doubtful'] as const) {
      const root = await show(<TrustMark trust={trust} word={false} />);
      expect(textOf(root)).toBe(trust);
      expect(root.querySelector('.mark')?.getAttribute('title')).toContain(trust);
    }
    expect(textOf(await show(<UnvouchedMark />))).toBe('unvouched');
  });

  it('differ in shape and not only in colour', async () => {
    const shapes = await Promise.all(
      (['steady', 'look', 'act'] as const).map(async (state) =>
        (await show(<StateMark state={state} />)).querySelector('path')?.getAttribute('d'),
      ),
    );
    expect(new Set(shapes).size).toBe(3);
  });
});
