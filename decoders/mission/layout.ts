import type { ChecksumPart, FieldPart, FrameLayout, LayoutPart, Mission, Parameter } from './types.ts';

/** All parts of a layout at any depth, in layout order. */
export function* partsOf(layout: readonly LayoutPart[]): Generator<LayoutPart> {
  for (const part of layout) {
    yield part;
    if (part.part === 'optional') yield* partsOf(part.layout);
    if (part.part === 'either') for (const each of part.layouts) yield* partsOf(each);
  }
}

/** The fields of a layout by id; a field that stands in several alternatives counts once. */
export function fieldsOf(layout: readonly LayoutPart[]): Map<string, FieldPart> {
  const fields = new Map<string, FieldPart>();
  for (const part of partsOf(layout))
    if (part.part === 'field' && !fields.has(part.field)) fields.set(part.field, part);
  return fields;
}

/** The checksums of a layout in order. */
export function checksOf(layout: readonly LayoutPart[]): ChecksumPart[] {
  return [...partsOf(layout)].flatMap((part) => (part.part === 'checksum' ? [part] : []));
}

/** Ids of the frames that can give a parameter by themselves: those with its fields, or with all that it is derived from. */
export function framesOf(mission: Pick<Mission, 'frames' | 'parameters'>, parameter: Parameter): string[] {
  const { source } = parameter;
  const has = (frame: FrameLayout, ref: { frame?: string; field: string }) =>
    (ref.frame === undefined || ref.frame === frame.id) && fieldsOf(frame.layout).has(ref.field);
  switch (source.source) {
    case 'field':
      return mission.frames.filter((frame) => has(frame, source.ref)).map(({ id }) => id);
    case 'join':
      return mission.frames.filter((frame) => source.refs.every((ref) => has(frame, ref))).map(({ id }) => id);
    case 'derive': {
      const operands = source.of.map((id) => mission.parameters.find((each) => each.id === id));
      const frames = operands.map((each) => (each === undefined ? [] : framesOf(mission, each)));
      return mission.frames.map(({ id }) => id).filter((id) => frames.every((each) => each.includes(id)));
    }
  }
}
