import { describe, expect, it, vi } from 'vitest';
import { Controls } from '../../../../web/pages/trends/controls.tsx';
import { readView } from '../../../../web/pages/trends/view.ts';
import { byText, click, show, textOf, type } from '../../support/render.ts';
import { NOW_MS, now, parameter } from '../../support/scene.ts';

const view = readView(new URLSearchParams());
const scene = now({ parameters: ['a', 'b', 'c'].map((id) => parameter({ parameter: id, name: `Parameter ${id}` })) });

async function controls(parameters: string[]) {
  const calls = { onView: vi.fn(), onRange: vi.fn(), onPan: vi.fn(), onZoom: vi.fn() };
  const window = { fromMs: NOW_MS - 3_600_000, toMs: NOW_MS };
  const root = await show(<Controls now={scene} view={view} parameters={parameters} window={window} {...calls} />);
  const box = (name: string) =>
    [...root.querySelectorAll('label')].find((label) => textOf(label) === name)?.querySelector('input');
  return { root, calls, box };
}

describe('what to show in the trends', () => {
  it('adds a parameter where the definition has it', async () => {
    const { calls, box } = await controls(['a', 'c']);
    await click(box('Parameter b'));
    expect(calls.onView).toHaveBeenCalledWith({ ...view, parameters: ['a', 'b', 'c'] });
  });

  it('takes one away, but never the last', async () => {
    const two = await controls(['a', 'c']);
    await click(two.box('Parameter a'));
    expect(two.calls.onView).toHaveBeenCalledWith({ ...view, parameters: ['c'] });
    expect((await controls(['a'])).box('Parameter a')?.disabled).toBe(true);
  });

  it('shows doubtful readings only when asked', async () => {
    const { calls, box } = await controls(['a']);
    expect(box('Doubtful readings too')?.checked).toBe(false);
    await click(box('Doubtful readings too'));
    expect(calls.onView).toHaveBeenCalledWith({ ...view, doubtful: true });
  });

  it('moves and zooms by buttons', async () => {
    const { root, calls } = await controls(['a']);
    await click(root.querySelector('[aria-label="Earlier"]'));
    await click(root.querySelector('[aria-label="Zoom in"]'));
    expect(calls.onPan).toHaveBeenCalledWith(-0.5);
    expect(calls.onZoom).toHaveBeenCalledWith(0.5);
  });

  it('takes a range only when it runs forward', async () => {
    const { root, calls } = await controls(['a']);
    await click(byText(root, 'From – to'));
    const [from, to] = root.querySelectorAll('form input');
    await type(to ?? null, '2031-05-04 07:00');
    expect(byText(root, 'Show')?.hasAttribute('disabled')).toBe(true);
    expect(textOf(root)).toContain('“From” must be a time before “to”.');
    await type(from ?? null, '2031-05-04 06:00');
    await click(byText(root, 'Show'));
    expect(calls.onRange).toHaveBeenCalledWith({
      fromMs: Date.UTC(2031, 4, 4, 6),
      toMs: Date.UTC(2031, 4, 4, 7),
    });
  });
});
