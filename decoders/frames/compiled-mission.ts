import type { Mission } from '../mission/types.ts';
import { type CodeGraph, compileCodeGraph } from './code-graph.ts';
import { type CodesAsSent, codesAsSent } from './coverage.ts';
import { DerivedParts } from './derived-parts.ts';
import { compileGraph } from './printed-graph.ts';

/** A layout ready for searching. */
export interface CompiledLayout {
  readonly mission: Mission;
  readonly frame: string;
  readonly graph: CodeGraph;
  readonly parts: DerivedParts;
  readonly codesOf: CodesAsSent;
  readonly isHex: (field: string) => boolean;
  readonly validFrom: string | null;
  readonly validUntil: string | null;
}

const compiled = new WeakMap<Mission, readonly CompiledLayout[]>();

/** The layouts of a mission, compiled once for as long as the mission lives. */
export function compileMission(mission: Mission): readonly CompiledLayout[] {
  const known = compiled.get(mission);
  if (known) return known;
  const layouts = mission.frames.map((frame): CompiledLayout => {
    const printed = compileGraph(frame);
    const graph = compileCodeGraph(printed, mission.beacon);
    const hex = new Set(printed.fields.filter(({ form }) => form.kind === 'hex').map(({ field }) => field));
    return {
      mission,
      frame: frame.id,
      graph,
      parts: new DerivedParts(graph),
      codesOf: codesAsSent(mission.beacon),
      isHex: (field) => hex.has(field),
      validFrom: frame.validFrom ?? null,
      validUntil: frame.validUntil ?? null,
    };
  });
  compiled.set(mission, layouts);
  return layouts;
}

/** The layouts in force at a time of reception; all of them when it is unknown. */
export function layoutsAt(missions: readonly Mission[], receivedAt: string | null): CompiledLayout[] {
  const at = receivedAt === null ? null : Date.parse(receivedAt);
  return missions.flatMap(compileMission).filter(({ validFrom, validUntil }) => {
    if (at === null) return true;
    return (validFrom === null || at >= Date.parse(validFrom)) && (validUntil === null || at < Date.parse(validUntil));
  });
}
