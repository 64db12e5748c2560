import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { PasteLine } from '../../../../web/pages/frames/paste-line.tsx';
import { readLinesInline } from '../../support/line-worker.ts';
import { byText, click, settle, show, textOf, type } from '../../support/render.ts';
import { frame } from '../../support/scene.ts';
import { type Asked, answerWith } from '../../support/server.ts';

// the definition and its own example are those of the invented mission in the samples
const definition = JSON.parse(readFileSync(join(process.cwd(), 'samples', 'dunlin-1.json'), 'utf8'));
const line: string = definition.examples[0].text;

async function page(): Promise<{ root: HTMLElement; asked: Asked[] }> {
  readLinesInline();
  const asked = answerWith({
    '/api/missions/dunlin-1': definition,
    '/api/frames': {
      ...frame(),
      problems: [{ code: 'assumed', message: 'Lower case was read as upper case.' }],
      more: [],
    },
  });
  const root = await show(<PasteLine mission="dunlin-1" />);
  for (let i = 0; i < 200 && byText(root, 'Try it') === null; i++) await settle();
  return { root, asked };
}

async function typeLine(root: HTMLElement, text: string): Promise<void> {
  await type(root.querySelector('textarea'), text);
  for (let i = 0; i < 2000 && root.querySelector('.line-result') === null; i++) await settle(1);
}

describe('pasting a line', () => {
  it('says at once what it means, by the decoders’ own code', async () => {
    const { root } = await page();
    await typeLine(root, line.toLowerCase());
    const voltage = [...root.querySelectorAll('.reading-list li')].find((row) =>
      textOf(row).startsWith('Battery voltage'),
    );
    expect(textOf(voltage?.querySelector('.value') ?? null)).toBe('7.92 V');
    expect(textOf(root.querySelector('.line-result'))).toContain('the checksum fits');
    expect(textOf(root.querySelector('.assumptions'))).toContain('Lower case was read as upper case.');
  });

  it('never calls a typed line confirmed', async () => {
    const { root } = await page();
    await typeLine(root, line);
    expect(root.querySelectorAll('.reading-list .trust').length).toBeGreaterThan(5);
    expect(root.querySelector('.trust.confirmed')).toBeNull();
  });

  it('names the layout that came nearest, and shows where it stopped fitting', async () => {
    const { root } = await page();
    await typeLine(root, 'Q0DUN X');
    expect(textOf(root.querySelector('.line-result'))).toContain('This fits no frame of Dunlin-1.');
    expect(textOf(root.querySelector('.line-result mark'))).toBe('X');
  });

  it('shows markup as text', async () => {
    const { root } = await page();
    await typeLine(root, 'Q0DUN <script>alert(1)</script>');
    expect(root.querySelector('script')).toBeNull();
  });

  it('sends it with call sign and time, and thanks', async () => {
    const { root, asked } = await page();
    await typeLine(root, line);
    await click(byText(root, 'Send to the team'));
    expect(textOf(root)).toContain('A call sign is needed');
    expect(asked.some(({ method }) => method === 'POST')).toBe(false);

    await type(root.querySelector('input[name="station"]'), 'q1lark');
    const received = [...root.querySelectorAll('label')].find((label) => textOf(label).startsWith('Received at'));
    await type(received?.querySelector('input') ?? null, '2031-05-04 09:12');
    await click(byText(root, 'Send to the team'));
    await settle();
    expect(asked.find(({ method }) => method === 'POST')?.body).toEqual({
      mission: 'dunlin-1',
      station: 'Q1LARK',
      receivedAt: '2031-05-04T09:12:00.000Z',
      text: line,
      phase: 'flight',
    });
    expect(textOf(root)).toContain('Stored, thank you.');
  });
});
