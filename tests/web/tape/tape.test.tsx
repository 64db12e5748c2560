import { describe, expect, it } from 'vitest';
import { tapeColumns } from '../../../web/tape/columns.ts';
import { Tape } from '../../../web/tape/tape.tsx';
import { show } from '../support/render.ts';
import { burst } from '../support/scene.ts';

const { slots, characters, text } = burst();
const columns = tapeColumns(slots, characters);

describe('the tape', () => {
  it('is said as its text, and prints each character under its column', async () => {
    const root = await show(<Tape columns={columns} label={`Tape: ${text}`} />);
    expect(root.querySelector('[role="img"]')?.getAttribute('aria-label')).toBe('Tape: QA');
    expect([...root.querySelectorAll('text')].map(({ textContent }) => textContent)).toEqual(['Q', 'A']);
  });

  it('prints what is unsure fainter, and tells how sure it is', async () => {
    const root = await show(<Tape columns={columns} label="" />);
    const [shift, q, a] = root.querySelectorAll('g');
    expect(q?.getAttribute('class')).toBe('sure');
    expect(a?.getAttribute('class')).toBe('doubtful');
    expect(a?.querySelector('title')?.textContent).toBe('A, 40\u202f%, at 0:01.3');
    expect(shift?.querySelector('title')?.textContent).toContain('shift');
  });

  it('picks out the slots asked for', async () => {
    const root = await show(<Tape columns={columns} label="" picked={new Set([2])} />);
    expect(root.querySelectorAll('.picked')).toHaveLength(1);
    expect(root.querySelector('.picked')?.getAttribute('x')).toBe(String((await pickX(2)) ?? ''));
  });
});

async function pickX(slot: number): Promise<number | undefined> {
  const { strips } = await import('../../../web/tape/geometry.ts');
  return strips(columns, 720)
    .flat()
    .find(({ column }) => column.slot === slot)?.x;
}
