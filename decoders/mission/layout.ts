import type { ChecksumPart, FieldPart, LayoutPart, Mission, Parameter } from './types.ts';

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
export function framesOf(
  mission: Pick<Mission, 'frames' | 'parameters'>,
  parameter: Parameter,
  known = new Map<string, readonly string[]>(),
): readonly string[] {
  const before = known.get(parameter.id);
  if (before !== undefined) return before;
  const operands = (ids: readonly string[]) => {
    const parameters = ids.map((id) => mission.parameters.find((each) => each.id === id));
    return parameters.map((each) => (each === undefined ? [] : framesOf(mission, each, known)));
  };
  const { source } = parameter;
  const refs = source.source === 'field' ? [source.ref] : source.source === 'join' ? source.refs : [];
  const needed = source.source === 'derive' ? operands(source.of) : [];
  const frames = mission.frames
    .filter((frame) =>
      refs.every((ref) => (ref.frame ?? frame.id) === frame.id && fieldsOf(frame.layout).has(ref.field)),
    )
    .map(({ id }) => id)
    .filter((id) => needed.every((each) => each.includes(id)));
  known.set(parameter.id, frames);
  return frames;
}
