import type { FieldForm, LayoutPart } from '../../../decoders/mission/types.ts';

/** A piece of a layout as it is printed for people. */
export interface LayoutPiece {
  readonly kind: 'text' | 'field' | 'checksum';
  readonly text: string;
  /** Field or checksum that stands here; null for literals. */
  readonly name: string | null;
}

const literal = (text: string): LayoutPiece => ({ kind: 'text', text, name: null });

/** A layout with a stand-in for every field: `0` for a digit, `H` for a hex digit, `A` for a letter, in brackets what may be absent. */
export function layoutPieces(layout: readonly LayoutPart[]): LayoutPiece[] {
  return layout.flatMap(piecesOf);
}

function piecesOf(part: LayoutPart): LayoutPiece[] {
  switch (part.part) {
    case 'text':
      return [literal(part.text)];
    case 'field':
      return [{ kind: 'field', text: standIn(part.form), name: part.field }];
    case 'again':
      return [{ kind: 'field', text: part.complement ? '(inverted)' : '(again)', name: part.field }];
    case 'checksum':
      return [{ kind: 'checksum', text: standIn(part.form), name: part.algorithm }];
    case 'optional':
      return [literal('['), ...layoutPieces(part.layout), literal(']')];
    case 'either':
      return part.layouts
        .flatMap((one, i) => [literal(i === 0 ? '(' : ' | '), ...layoutPieces(one)])
        .concat(literal(')'));
  }
}

function standIn(form: FieldForm): string {
  switch (form.kind) {
    case 'digits': {
      const sign = form.sign === undefined ? '' : form.sign === 'minus' ? '-' : '±';
      const more = form.max > form.min ? `[${'0'.repeat(form.max - form.min)}]` : '';
      return `${sign}${'0'.repeat(form.min)}${more}${form.decimals > 0 ? `.${'0'.repeat(form.decimals)}` : ''}`;
    }
    case 'hex':
      return 'H'.repeat(form.length);
    case 'letters':
      return 'A'.repeat(form.length);
    case 'symbols':
      return (form.symbols[0] ?? '').repeat(form.length);
    case 'oneOf':
      return form.texts.join('/');
  }
}
