import { FiveunitError } from '../errors.ts';
import type { ChecksumPart, FieldPart, LayoutPart, Mission } from '../mission/types.ts';
import { type CharacterOwner, type CodesAsSent, codesAsSent, rightCheckText } from './coverage.ts';
import { complementText, fieldText } from './field-form.ts';
import type { RawValue } from './types.ts';

export interface RenderOptions {
  /** How the sender keys a text, for checksums that cover its codes; default as the mission's beacon says. */
  readonly codesOf?: CodesAsSent;
}

/**
 * The printed text of a frame with the given field values and right checksums.
 *
 * An optional part is printed when it holds a field and every field directly in it has a value in `values`; of an `either`, that
 * alternative is printed which holds the most fields with values, and none without, the first of equals.
 * Throws `unknown-frame`, `value-missing` for a field without a value, and `value-does-not-fit`.
 */
export function renderFrame(
  mission: Mission,
  frameId: string,
  values: Readonly<Record<string, RawValue>>,
  options: RenderOptions = {},
): string {
  const frame = mission.frames.find(({ id }) => id === frameId);
  if (frame === undefined) {
    const known = mission.frames.map(({ id }) => id).join(', ');
    throw new FiveunitError('unknown-frame', `Mission ${mission.id} has no frame ${frameId}; it has ${known}`);
  }
  const printer = new FramePrinter(values);
  printer.printAll(frame.layout);
  return printer.finish(options.codesOf ?? codesAsSent(mission.beacon));
}

class FramePrinter {
  private readonly walk: { character: string; owner: CharacterOwner }[] = [];
  private readonly fields = new Map<string, FieldPart>();
  private readonly checks: ChecksumPart[] = [];
  private readonly values: Readonly<Record<string, RawValue>>;

  constructor(values: Readonly<Record<string, RawValue>>) {
    this.values = values;
  }

  printAll(parts: readonly LayoutPart[]): void {
    for (const part of parts) this.print(part);
  }

  /** Checksums are printed as zeros first, because they may cover what follows them. */
  finish(codesOf: CodesAsSent): string {
    const isHex = (field: string) => this.fields.get(field)?.form.kind === 'hex';
    for (const [index, check] of this.checks.entries()) {
      const text = rightCheckText(check, index, this.walk, codesOf, isHex);
      if (text === null) {
        throw new FiveunitError(
          'value-missing',
          `The ${check.algorithm} checksum covers hex fields that have no value`,
        );
      }
      const start = this.walk.findIndex(({ owner }) => owner.kind === 'check' && owner.index === index);
      for (let i = 0; i < text.length; i++) this.walk[start + i].character = text[i];
    }
    return this.walk.map(({ character }) => character).join('');
  }

  private print(part: LayoutPart): void {
    switch (part.part) {
      case 'text':
        for (const character of part.text.replace(/[\r\n]/g, ' ')) {
          if (character !== ' ') this.append(character, { kind: 'text' });
          else if (this.walk.at(-1)?.character !== ' ') this.append(' ', { kind: 'space' });
        }
        break;
      case 'field':
        this.fields.set(part.field, part);
        this.append(this.fieldText(part), { kind: 'field', field: part.field });
        break;
      case 'again': {
        const field = this.fields.get(part.field);
        if (field === undefined) throw missing(part.field);
        const text = this.fieldText(field);
        const { complement } = part;
        this.append(complement ? complementText(field.form, text, field.missing) : text, {
          kind: 'again',
          field: part.field,
          complement,
        });
        break;
      }
      case 'checksum': {
        const index = this.checks.push(part) - 1;
        this.append(fieldText(part.form, 0), { kind: 'check', index });
        break;
      }
      case 'optional':
        if (this.valuesFor(part.layout) > 0) this.printAll(part.layout);
        break;
      case 'either':
        this.printAll(this.chosen(part.layouts));
        break;
    }
  }

  private fieldText(part: FieldPart): string {
    if (!Object.hasOwn(this.values, part.field)) throw missing(part.field);
    return fieldText(part.form, this.values[part.field], part.missing);
  }

  private append(text: string, owner: CharacterOwner): void {
    for (const character of text) this.walk.push({ character, owner });
  }

  private chosen(layouts: readonly (readonly LayoutPart[])[]): readonly LayoutPart[] {
    let best = layouts[0];
    for (const layout of layouts) if (this.valuesFor(layout) > this.valuesFor(best)) best = layout;
    return best;
  }

  /** How many fields of these parts have values; -1 when one has none. */
  private valuesFor(parts: readonly LayoutPart[]): number {
    const fields = fieldsOf(parts);
    return fields.every((field) => Object.hasOwn(this.values, field)) ? fields.length : -1;
  }
}

/** Fields that the parts print, once or again, without any choice. */
function fieldsOf(parts: readonly LayoutPart[]): string[] {
  return parts.flatMap((part) => (part.part === 'field' || part.part === 'again' ? [part.field] : []));
}

function missing(field: string): FiveunitError {
  return new FiveunitError('value-missing', `Field ${field} has no value to print`);
}
