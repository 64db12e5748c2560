import type { Mission } from '../../decoders/mission/types.ts';

/** The fields whose characters gave a parameter its value, through derived parameters down to the frame. */
export function fieldsBehind(mission: Mission, parameter: string): ReadonlySet<string> {
  const fields = new Set<string>();
  const seen = new Set<string>();
  const follow = (id: string): void => {
    if (seen.has(id)) return;
    seen.add(id);
    const source = mission.parameters.find((one) => one.id === id)?.source;
    if (source === undefined) return;
    if (source.source === 'field') fields.add(source.ref.field);
    else if (source.source === 'join') {
      for (const { field } of source.refs) fields.add(field);
      for (const field of Object.keys(source.where)) fields.add(field);
    } else for (const one of source.of) follow(one);
  };
  follow(parameter);
  return fields;
}
