import { act } from 'preact/test-utils';
import { beforeEach, describe, expect, it } from 'vitest';
import { go } from '../../../../web/address/location.ts';
import { FrameLog } from '../../../../web/pages/frames/frame-log.tsx';
import { byText, click, settle, show, textOf, type } from '../../support/render.ts';
import { frame } from '../../support/scene.ts';
import { type Asked, answerWith } from '../../support/server.ts';

beforeEach(() => go('/frames'));

async function log(frames: unknown[], next: string | null = null): Promise<{ root: HTMLElement; asked: Asked[] }> {
  const asked = answerWith({ '/api/missions/dunlin-1/frames': { frames, next } });
  const root = await show(<FrameLog mission="dunlin-1" />);
  await settle();
  return { root, asked };
}

const lastAsked = (asked: Asked[]): URLSearchParams => new URL(asked.at(-1)?.path ?? '', 'http://x').searchParams;

describe('the log of frames', () => {
  it('lists text, station, trust and what is unvouched', async () => {
    const { root } = await log([frame({ vouched: false, trust: 'doubtful' })]);
    expect([...(root.querySelector('.log-row')?.children ?? [])].map(textOf)).toEqual([
      '4 May 2031, 09:00:00 UTC',
      'Q1LARK unvouched',
      'doubtful',
      'Q0DUN 7921',
    ]);
    expect(root.querySelector('.log-row')?.classList.contains('doubtful')).toBe(true);
  });

  it('shows markup in a frame’s text as text', async () => {
    const { root } = await log([frame({ text: '<img src=x onerror=alert(1)>' })]);
    expect(root.querySelector('img')).toBeNull();
    expect(textOf(root.querySelector('.log-row code'))).toBe('<img src=x onerror=alert(1)>');
  });

  it('puts its filters into the address and asks the server by them', async () => {
    const { root, asked } = await log([frame()]);
    await type(root.querySelector('input[placeholder="any"]'), 'q1lark');
    await act(async () => root.querySelector('form')?.requestSubmit());
    await settle();
    expect(window.location.search).toBe('?station=Q1LARK');
    expect(lastAsked(asked).get('station')).toBe('Q1LARK');
    expect(lastAsked(asked).has('trust')).toBe(false);
  });

  it('goes to older frames and back to the newest', async () => {
    const { root, asked } = await log([frame()], 'f90');
    await click(byText(root, 'Older'));
    await settle();
    expect(window.location.search).toBe('?after=f90');
    expect(lastAsked(asked).get('after')).toBe('f90');
    await click(byText(root, 'Newest'));
    expect(window.location.search).toBe('');
  });

  it('says whether there is none at all, or none that fits', async () => {
    expect(textOf((await log([])).root)).toContain('No frame yet');
    go('/frames?station=Q1LARK');
    const { root } = await log([]);
    expect(textOf(root)).toContain('No frame fits these filters');
    await click(byText(root, 'Show all frames'));
    expect(window.location.search).toBe('');
  });
});
