import { act } from 'preact/test-utils';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { state } from '../../../../web/pages/listen/session.ts';
import { chosenText, Wishes } from '../../../../web/pages/listen/wishes.tsx';
import { byText, show, textOf, type } from '../../support/render.ts';

beforeEach(() => {
  window.localStorage.clear();
  state.value = 'idle';
  vi.stubGlobal('navigator', {
    mediaDevices: { enumerateDevices: async () => [], addEventListener: () => {}, removeEventListener: () => {} },
  });
});

afterEach(() => vi.unstubAllGlobals());

const isOpen = (root: Element): boolean | undefined => root.querySelector('details')?.open;

async function become(next: typeof state.value): Promise<void> {
  await act(async () => {
    state.value = next;
  });
}

describe('what is chosen before listening', () => {
  it('stands open, and folds to one line while listening goes on', async () => {
    const root = await show(<Wishes />);
    expect(isOpen(root)).toBe(true);
    expect(byText(root, 'Listen')).not.toBeNull();
    await type(root.querySelector('[name=station]'), 'q1lark');
    await become('listening');
    expect(isOpen(root)).toBe(false);
    expect(textOf(root.querySelector('summary'))).toBe('any satellite, Q1LARK, bursts kept');
    expect(byText(root, 'Stop')).not.toBeNull();
  });

  it('can be looked at while listening, and says how it is changed', async () => {
    const root = await show(<Wishes />);
    await become('listening');
    await act(async () => root.querySelector('summary')?.click());
    expect(isOpen(root)).toBe(true);
    expect(root.querySelector('fieldset')?.disabled).toBe(true);
    expect(textOf(root.querySelector('details'))).toContain('Stop first to change this.');
    await become('idle');
    expect(isOpen(root)).toBe(true);
    expect(textOf(root.querySelector('details'))).not.toContain('Stop first');
  });
});

describe('the line that remains', () => {
  it.each([
    ['Dunlin-1', 'Q1LARK', false, 'Dunlin-1, Q1LARK, bursts kept'],
    ['Dunlin-1', 'Q1LARK', true, 'Dunlin-1, Q1LARK, everything kept'],
    // without a call sign nothing is kept, whatever else is ticked
    [null, null, true, 'any satellite, no call sign, nothing kept'],
  ])('says the satellite, the station and what is kept: %s, %s, %s', (satellite, station, keepAll, text) => {
    expect(chosenText(satellite, station, keepAll)).toBe(text);
  });
});
