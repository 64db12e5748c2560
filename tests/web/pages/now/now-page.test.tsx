import { beforeEach, describe, expect, it } from 'vitest';
import { NowPage } from '../../../../web/pages/now/now-page.tsx';
import { nowMs } from '../../../../web/shell/clock.ts';
import { byText, click, settle, show, textOf } from '../../support/render.ts';
import { burst, frame, NOW_MS, now, parameter } from '../../support/scene.ts';
import { answerWith } from '../../support/server.ts';

beforeEach(() => {
  nowMs.value = NOW_MS;
});

async function page(answer: unknown, frameAnswer: unknown = frame()): Promise<HTMLElement> {
  answerWith({ '/api/missions/dunlin-1/now?phase=flight': answer, '/api/frames/f1': frameAnswer });
  const root = await show(<NowPage mission="dunlin-1" />);
  await settle();
  return root;
}

const groupOf = (root: HTMLElement, title: string): Element | undefined =>
  [...root.querySelectorAll('section')].find((section) => section.querySelector('h2')?.textContent === title);

describe('Now', () => {
  it('says how the satellite is, then gives each reading with age and trust', async () => {
    const root = await page(now());
    expect(textOf(root.querySelector('h1'))).toBe('Dunlin-1 is well. It was last heard 12 min ago by Q1LARK.');
    const battery = groupOf(root, 'Battery');
    expect(textOf(battery?.querySelector('.value') ?? null)).toBe('7.92 V');
    expect(textOf(battery?.querySelector('.provenance') ?? null)).toBe('12 min agoconfirmed');
  });

  it('gives the usual caution on lithium cells beside the battery', async () => {
    const root = await page(now());
    expect(textOf(groupOf(root, 'Battery') ?? null)).toContain('Lithium cells are dangerous when charged cold');
  });

  it('shows what is doubtful, unvouched or outside limits as such', async () => {
    const last = { ...parameter().last, trust: 'doubtful', vouched: false, limit: 'hard' } as never;
    const root = await page(now({ parameters: [parameter({ last })] }));
    const row = root.querySelector('.reading');
    expect(row?.classList.contains('doubtful')).toBe(true);
    expect(textOf(row?.querySelector('.provenance') ?? null)).toBe('12 min agodoubtfulunvouchedoutside hard limits');
  });

  it('leads from a reading to its origin', async () => {
    const root = await page(now());
    const link = root.querySelector('.provenance a');
    expect(link?.getAttribute('href')).toBe('/trends?parameter=battery_voltage&point=battery_voltage%40f1');
  });

  it('shows the last frame as tape when a recording holds it, else as text', async () => {
    const { slots, characters } = burst();
    const origin = { source: 'recording', recording: { id: 'r1' }, slots };
    const heard = frame({
      text: 'QA',
      characters: characters.map((one) => ({ ...one, field: null })),
      origin: origin as never,
    });
    expect((await page(now(), heard)).querySelector('.tape')?.getAttribute('aria-label')).toBe('Tape: QA');
    expect(textOf((await page(now())).querySelector('.frame-text'))).toBe('Q0DUN 7921');
  });

  it('teaches what would be here when nothing was heard', async () => {
    const root = await page(now({ lastHeard: null, state: 'unknown', parameters: [parameter({ last: null })] }));
    expect(textOf(root.querySelector('h1'))).toBe('Nothing has been heard from Dunlin-1 yet.');
    expect(byText(root, 'Send a recording')?.getAttribute('href')).toBe('/recordings');
  });

  it('says what went wrong, and tries again', async () => {
    let fine = false;
    const root = await page(() =>
      fine ? { json: now() } : { status: 503, json: { code: 'busy', detail: 'The database is being backed up.' } },
    );
    expect(textOf(root.querySelector('h1'))).toBe('The last readings could not be loaded');
    expect(textOf(root.querySelector('[role="alert"]'))).toContain('The database is being backed up.');
    fine = true;
    await click(byText(root, 'Try again'));
    await settle();
    expect(textOf(root.querySelector('h1'))).toContain('is well');
  });

  it('shows markup in names as text', async () => {
    const name = '<img src=x onerror=alert(1)>';
    const root = await page(now({ name, parameters: [parameter({ name })] }));
    expect(textOf(root.querySelector('h1'))).toContain(name);
    expect(root.querySelector('img')).toBeNull();
  });
});
