import { useState } from 'preact/hooks';
import { describe, expect, it } from 'vitest';
import { UtcInput } from '../../../web/shell/utc-input.tsx';
import { byText, click, show, textOf, type } from '../support/render.ts';

const AT = Date.UTC(2031, 4, 4, 9, 12, 0);

function Form() {
  const [ms, setMs] = useState<number | null>(null);
  return (
    <>
      <UtcInput label="Started at" valueMs={ms} onChange={setMs} />
      <output>{ms === null ? 'none' : new Date(ms).toISOString()}</output>
      <button type="button" onClick={() => setMs(AT)}>
        Now
      </button>
    </>
  );
}

describe('a field for a time', () => {
  it('reads what is typed as UTC while it is typed', async () => {
    const root = await show(<Form />);
    await type(root.querySelector('input'), '2031-05-04 09:12');
    expect(textOf(root.querySelector('output'))).toBe('2031-05-04T09:12:00.000Z');
  });

  it('says what may stand, keeps what was typed, and gives nothing', async () => {
    const root = await show(<Form />);
    await type(root.querySelector('input'), '4 May, nine');
    expect(textOf(root.querySelector('output'))).toBe('none');
    expect(root.querySelector('input')?.value).toBe('4 May, nine');
    expect(root.querySelector('input')?.getAttribute('aria-invalid')).toBe('true');
    expect(textOf(root)).toContain('Year first');
  });

  it('shows what is set from outside', async () => {
    const root = await show(<Form />);
    await click(byText(root, 'Now'));
    expect(root.querySelector('input')?.value).toBe('2031-05-04 09:12:00');
  });
});
