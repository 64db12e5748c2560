// @vitest-environment node
import { describe, expect, it } from 'vitest';
import type { LayoutPart } from '../../../../decoders/mission/types.ts';
import { layoutPieces } from '../../../../web/pages/mission/layout-text.ts';

const field = (name: string, form: Extract<LayoutPart, { part: 'field' }>['form']): LayoutPart => ({
  part: 'field',
  field: name,
  form,
  missing: [],
});

const print = (layout: readonly LayoutPart[]): string =>
  layoutPieces(layout)
    .map(({ text }) => text)
    .join('');

describe('a layout printed for people', () => {
  it('has a stand-in for every field, and names it', () => {
    const layout = [
      { part: 'text', text: 'Q0DUN P ' } as const,
      field('count', { kind: 'digits', min: 5, max: 5, decimals: 0 }),
      { part: 'text', text: ' ' } as const,
      field('bus', { kind: 'digits', min: 2, max: 2, decimals: 2, sign: 'minus' }),
      { part: 'text', text: ' ' } as const,
      field('mode', { kind: 'oneOf', texts: ['SAFE', 'NOM'] }),
    ];
    expect(print(layout)).toBe('Q0DUN P 00000 -00.00 SAFE/NOM');
    expect(layoutPieces(layout)[1]).toEqual({ kind: 'field', text: '00000', name: 'count' });
  });

  it('shows what may be left out, and what may stand instead', () => {
    const optional: LayoutPart = { part: 'optional', layout: [field('x', { kind: 'hex', length: 2 })] };
    const either: LayoutPart = {
      part: 'either',
      layouts: [[{ part: 'text', text: 'A' }], [field('y', { kind: 'letters', length: 3 })]],
    };
    expect(print([optional, either])).toBe('[HH](A | AAA)');
  });

  it('tells a variable width', () => {
    expect(print([field('v', { kind: 'digits', min: 1, max: 4, decimals: 0 })])).toBe('0[000]');
  });
});
