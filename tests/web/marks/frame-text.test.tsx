import { describe, expect, it } from 'vitest';
import { FrameText, fieldRuns } from '../../../web/marks/frame-text.tsx';
import { show } from '../support/render.ts';

const character = (text: string, field: string | null = null, confidence = 1) => ({ text, field, confidence });

describe('the text of a frame', () => {
  it('tells its fields apart and picks out those asked for', async () => {
    const characters = [character('P'), character('7', 'v'), character('9', 'v'), character('1', 'i')];
    const root = await show(<FrameText characters={characters} picked={new Set(['v'])} />);
    expect(root.textContent).toBe('P791');
    expect(root.querySelector('mark')?.textContent).toBe('79');
    expect([...root.querySelectorAll('.in-field')].map(({ textContent }) => textContent)).toEqual(['1']);
    expect(fieldRuns(characters)).toHaveLength(3);
  });

  it('prints unsure characters fainter', async () => {
    const root = await show(<FrameText characters={[character('A', null, 0.4), character('B')]} />);
    expect(root.querySelector('i')?.textContent).toBe('A');
  });

  it('shows markup that was sent as text, and never as markup', async () => {
    const hostile = '<img src=x onerror=alert(1)><script>alert(2)</script>';
    const root = await show(<FrameText characters={[...hostile].map((text) => character(text, 'v'))} />);
    expect(root.textContent).toBe(hostile);
    expect(root.querySelector('img, script')).toBeNull();
  });
});
