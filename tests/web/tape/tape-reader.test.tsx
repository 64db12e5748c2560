import { signal } from '@preact/signals';
import { act } from 'preact/test-utils';
import { describe, expect, it } from 'vitest';
import { type TapeColumn, tapeColumns } from '../../../web/tape/columns.ts';
import { TapeReader } from '../../../web/tape/tape-reader.tsx';
import { show, textOf } from '../support/render.ts';
import { burst } from '../support/scene.ts';

const { slots, characters, text } = burst();
const columns = tapeColumns(slots, characters);

async function reader(picked: ReadonlySet<number> = new Set()) {
  const place = signal(0);
  const chosen: number[] = [];
  let played = 0;
  const root = await show(
    <TapeReader
      columns={columns}
      label={`Tape: ${text}`}
      picked={picked}
      place={place}
      plays={signal(false)}
      onChoose={({ slot, startSeconds }: TapeColumn) => {
        chosen.push(slot);
        place.value = startSeconds;
      }}
      onPlay={() => {
        played++;
      }}
    />,
  );
  const press = (key: string) =>
    act(async () => {
      root
        .querySelector('.tape')
        ?.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true, cancelable: true }));
    });
  return { root, place, chosen, press, played: () => played };
}

describe('a tape that is read along', () => {
  it('is said as its text, and can be reached by keys', async () => {
    const { root } = await reader();
    expect(root.querySelector('[role="img"]')?.getAttribute('aria-label')).toBe('Tape: QA');
    expect(root.querySelector('.tape')?.getAttribute('tabindex')).toBe('0');
    expect(textOf(root.querySelector('.told'))).toContain('Choose a character');
    expect(root.querySelector('.current')).toBeNull();
  });

  it('tells the column at its place in words, each element with its likelihood', async () => {
    const { root, place } = await reader();
    await act(async () => {
      place.value = 1.2;
    });
    // Q is code 23: elements 1, 2, 3 and 5 are mark (ITA2, ITU-T Recommendation S.1)
    expect(textOf(root.querySelector('.told'))).toBe(
      'Q, 99.9 %, at 0:01.2 Elements: mark over 99.9 %, mark over 99.9 %, mark over 99.9 %, space over 99.9 %, mark over 99.9 %.',
    );
    expect(root.querySelector('.current')).not.toBeNull();
  });

  it('is gone along by keys, and played', async () => {
    const { press, chosen, played } = await reader();
    for (const key of ['ArrowRight', 'ArrowRight', 'ArrowLeft', 'End', 'ArrowRight', 'Home', ' ']) await press(key);
    expect(chosen).toEqual([0, 1, 0, 2, 2, 0]);
    expect(played()).toBe(1);
  });

  it('gives the column that was pointed at', async () => {
    const { root, chosen } = await reader();
    const middle = (slot: number): number => {
      const hit = root.querySelectorAll('.hit')[slot];
      return Number(hit?.getAttribute('x')) + Number(hit?.getAttribute('width')) / 2;
    };
    for (const slot of [2, 0, 1]) {
      // nothing has a width here, so that the tape has moved to the last one
      root.querySelector('.tape')?.scrollTo({ left: 0 });
      await act(async () => {
        root.querySelector('.tape')?.dispatchEvent(new MouseEvent('click', { clientX: middle(slot), bubbles: true }));
      });
    }
    expect(chosen).toEqual([2, 0, 1]);
  });

  it('picks out the slots asked for', async () => {
    const { root } = await reader(new Set([1, 2]));
    expect(root.querySelectorAll('.picked')).toHaveLength(2);
  });
});
