import { type ParameterRange, rangeOf } from '../engineering/range.ts';
import { fieldText, formRange } from '../frames/field-form.ts';
import { compileGraph } from '../frames/printed-graph.ts';
import { matchPrinted } from '../frames/printed-match.ts';
import { renderFrame } from '../frames/render.ts';
import type { RawValue } from '../frames/types.ts';
import { encode } from '../teletype/alphabets.ts';
import { fieldsOf, framesOf } from './layout.ts';
import { boundsOutOfReach } from './reach.ts';
import type { Beacon, FieldPart, FrameLayout, LimitSet, Mission } from './types.ts';

export interface FrameReport {
  readonly id: string;
  /** A line of this frame: the mission's own example, else one with values from the middle of each field's range. */
  readonly sample: string;
  readonly characters: number;
  /** Five-unit codes of the sample, shifts included. */
  readonly codes: number;
  /** Time on the air of one sending, at the beacon's speed; null when the definition does not state it. */
  readonly seconds: number | null;
  readonly repeats: number;
}

export interface ParameterReport {
  readonly id: string;
  readonly name: string;
  readonly unit: string | null;
  /** Frames that give it by themselves. */
  readonly frames: readonly string[];
  /** Null for texts and for values without known bounds. */
  readonly range: ParameterRange | null;
  readonly limitsOutOfReach: readonly { readonly kind: 'soft' | 'hard'; readonly limits: LimitSet }[];
}

export interface MissionReport {
  readonly frames: readonly FrameReport[];
  readonly parameters: readonly ParameterReport[];
}

/** Start and data elements of a character. */
const ELEMENTS_BEFORE_STOP = 6;
/** Common practice where a definition does not say. */
const USUAL_STOP_ELEMENTS = 1.5;

/** What a definition comes to: each frame's length on the air, each parameter's range and resolution. */
export function describeMission(mission: Mission): MissionReport {
  return {
    frames: mission.frames.map((frame) => describeFrame(mission, frame)),
    parameters: mission.parameters.map((parameter) => {
      const range = rangeOf(mission, parameter);
      const sets = parameter.limits.flatMap(({ value }) => value);
      return {
        id: parameter.id,
        name: parameter.name,
        unit: parameter.unit ?? null,
        frames: framesOf(mission, parameter),
        range,
        limitsOutOfReach:
          range === null
            ? []
            : sets.flatMap((limits) => boundsOutOfReach(limits, range).map((kind) => ({ kind, limits }))),
      };
    }),
  };
}

function describeFrame(mission: Mission, frame: FrameLayout): FrameReport {
  const graph = compileGraph(frame);
  const example = mission.examples.find(({ text }) => matchPrinted(graph, text).matched);
  const sample = example?.text.trim().replace(/\s+/g, ' ') ?? renderFrame(mission, frame.id, sampleValues(frame));
  const codes = codeCount(mission.beacon, sample);
  const { baud, stopElements = USUAL_STOP_ELEMENTS } = mission.beacon;
  return {
    id: frame.id,
    sample,
    characters: sample.length,
    codes,
    seconds: baud === undefined ? null : (codes * (ELEMENTS_BEFORE_STOP + stopElements)) / baud,
    repeats: frame.repeats,
  };
}

function codeCount(beacon: Beacon, text: string): number {
  const { unshiftOnSpace = false, repeat = 1 } = beacon.shifts;
  return encode(text, beacon.alphabet, { unshiftOnSpace, repeatShifts: repeat, startShift: 'unknown' }).length;
}

function sampleValues(frame: FrameLayout): Record<string, RawValue> {
  return Object.fromEntries([...fieldsOf(frame.layout)].map(([id, part]) => [id, sampleValue(part)]));
}

/** A value from the middle of the range that does not happen to mean "no value". */
function sampleValue({ form, missing }: FieldPart): RawValue {
  if (form.kind === 'oneOf') return form.texts.find((text) => !missing.includes(text)) ?? null;
  const range = formRange(form);
  if (range === null) return null;
  const middle = Math.floor(range.high / range.step / 2) * range.step;
  const candidates = [middle, middle + range.step, 0, range.step];
  return candidates.find((value) => !missing.includes(fieldText(form, value))) ?? null;
}
