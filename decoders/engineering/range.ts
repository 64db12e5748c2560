import { formCapacity, formRange } from '../frames/field-form.ts';
import { fieldsOf } from '../mission/layout.ts';
import type { CalibrationStep, FieldPart, FieldRef, Mission, Parameter } from '../mission/types.ts';
import { calibrate } from './calibration.ts';
import type { Derivation } from './derive.ts';
import { withoutDust } from './rounding.ts';

/** What a parameter can show, in its unit. */
export interface ParameterRange {
  readonly low: number;
  readonly high: number;
  /** Smallest and largest step between neighbouring raw values; null for derived parameters. */
  readonly resolution: { readonly finest: number; readonly coarsest: number } | null;
}

/** Raw values in ascending order. */
interface RawDomain {
  readonly count: number;
  at(index: number): number;
}

/** Up to so many raw values (a 12-bit converter) are all tried. */
const ALL = 4096;
/** Of more, so many are tried, evenly spaced, and those next to the ends. */
const SAMPLES = 1024;
/** Chains of `choose` steps beyond this many combinations are cut short. */
const MAX_CHAINS = 64;

/**
 * Range of a parameter over all raw values that its field can print, through every calibration of any time and choice; derived
 * ones from the ranges of their operands, as if these were independent. Null when it has no numbers or no known bounds.
 */
export function rangeOf(mission: Mission, parameter: Parameter, known: KnownRanges = new Map()): ParameterRange | null {
  const before = known.get(parameter.id);
  if (before !== undefined) return before;
  const range = computeRange(mission, parameter, known);
  known.set(parameter.id, range);
  return range;
}

type KnownRanges = Map<string, ParameterRange | null>;

function computeRange(mission: Mission, parameter: Parameter, known: KnownRanges): ParameterRange | null {
  const chains = chainsOf(parameter);
  if (parameter.source.source === 'derive') {
    const derived = derivedRange(mission, parameter.source, known);
    if (derived === null) return null;
    const domain = evenly(derived.low, (derived.high - derived.low) / (SAMPLES - 1), SAMPLES);
    const range = chains.length === 0 ? derived : throughChains(domain, chains);
    if (range === null) return null;
    return { low: withoutDust(range.low), high: withoutDust(range.high), resolution: null };
  }
  const domain = rawDomain(mission, parameter);
  return domain === null ? null : throughChains(domain, chains.length === 0 ? [[]] : chains);
}

function throughChains(domain: RawDomain, chains: readonly (readonly CalibrationStep[])[]): ParameterRange | null {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  let finest = Number.POSITIVE_INFINITY;
  let coarsest = 0;
  const indices = triedIndices(domain.count);
  for (const steps of chains) {
    const valueAt = (index: number) => calibrate(steps, domain.at(index), () => null);
    for (const index of indices) {
      const value = valueAt(index);
      if (value === null) continue;
      low = Math.min(low, value);
      high = Math.max(high, value);
      const neighbour = index > 0 ? valueAt(index - 1) : null;
      if (neighbour === null) continue;
      const step = Math.abs(value - neighbour);
      if (step > 0) finest = Math.min(finest, step);
      coarsest = Math.max(coarsest, step);
    }
  }
  if (low > high) return null;
  // What a difference of two close numbers loses must not show.
  const rounded = (step: number) => Number(step.toPrecision(9));
  return { low, high, resolution: coarsest > 0 ? { finest: rounded(finest), coarsest: rounded(coarsest) } : null };
}

function triedIndices(count: number): number[] {
  if (count <= ALL) return Array.from({ length: count }, (_, index) => index);
  const spread = Array.from({ length: SAMPLES }, (_, i) => Math.floor((i * (count - 1)) / (SAMPLES - 1)));
  return [...new Set([...spread, 1, count - 2])];
}

/** Every straight chain of steps that the calibrations of a parameter can run, with each `choose` decided either way. */
function chainsOf(parameter: Parameter): CalibrationStep[][] {
  return parameter.calibrations.flatMap(({ value }) => decided(value)).slice(0, MAX_CHAINS);
}

function decided(steps: readonly CalibrationStep[]): CalibrationStep[][] {
  let chains: CalibrationStep[][] = [[]];
  for (const step of steps) {
    const ways = step.step === 'choose' ? step.choices.flatMap((choice) => decided(choice.steps)) : [[step]];
    chains = chains.flatMap((chain) => ways.map((way) => [...chain, ...way])).slice(0, MAX_CHAINS);
  }
  return chains;
}

function rawDomain(mission: Mission, { source }: Parameter): RawDomain | null {
  if (source.source === 'field') {
    const part = partOf(mission, source.ref);
    const range = part === null ? null : formRange(part.form);
    if (part === null || range === null) return null;
    if (source.bits !== undefined) return bitsDomain(source.bits[1] - source.bits[0] + 1, source.signed);
    if (source.signed) return bitsDomain(Math.log2(formCapacity(part.form) ?? 1), true);
    const high = part.wraps === undefined ? range.high : part.wraps - range.step;
    const perUnit = Math.round(1 / range.step);
    const first = Math.round(range.low * perUnit);
    return { count: Math.round(high * perUnit) - first + 1, at: (index) => (first + index) / perUnit };
  }
  if (source.source === 'join') {
    const capacities = source.refs.map((ref) =>
      formCapacity(partOf(mission, ref)?.form ?? { kind: 'oneOf', texts: [] }),
    );
    const capacity = capacities.reduce<number | null>(
      (all, each) => (all === null || each === null ? null : all * each),
      1,
    );
    if (capacity === null || source.as === 'float32') return null;
    if (source.as === 'bcd') return evenly(0, 1, 10 ** Math.round(Math.log2(capacity) / 4));
    return source.signed ? bitsDomain(Math.log2(capacity), true) : evenly(0, 1, capacity);
  }
  return null;
}

function bitsDomain(width: number, signed: boolean): RawDomain {
  return evenly(signed ? -(2 ** (width - 1)) : 0, 1, 2 ** width);
}

function evenly(low: number, step: number, count: number): RawDomain {
  return { count, at: (index) => low + index * step };
}

function partOf(mission: Mission, ref: FieldRef): FieldPart | null {
  for (const frame of mission.frames) {
    const part = ref.frame === undefined || ref.frame === frame.id ? fieldsOf(frame.layout).get(ref.field) : undefined;
    if (part !== undefined) return part;
  }
  return null;
}

type Interval = Pick<ParameterRange, 'low' | 'high'>;

function derivedRange(mission: Mission, source: Derivation, known: KnownRanges): Interval | null {
  const operands: Interval[] = [];
  for (const id of source.of) {
    const parameter = mission.parameters.find((each) => each.id === id);
    const range = parameter === undefined ? null : rangeOf(mission, parameter, known);
    if (range === null) return null;
    operands.push(range);
  }
  const each = (combine: (bounds: readonly number[]) => number): Interval => ({
    low: combine(operands.map(({ low }) => low)),
    high: combine(operands.map(({ high }) => high)),
  });
  const sum = (bounds: readonly number[]) => bounds.reduce((total, bound) => total + bound, 0);
  const [first, second] = operands;
  switch (source.operation) {
    case 'sum':
      return each(sum);
    case 'mean':
      return each((bounds) => sum(bounds) / bounds.length);
    case 'least':
      return each((bounds) => Math.min(...bounds));
    case 'greatest':
      return each((bounds) => Math.max(...bounds));
    case 'difference':
      return { low: first.low - second.high, high: first.high - second.low };
    case 'product':
      return operands.reduce(product);
    case 'quotient':
      // A divisor that may come near zero leaves the quotient without bounds.
      return second.low <= 0 && second.high >= 0
        ? null
        : product(first, { low: 1 / second.high, high: 1 / second.low });
    case 'scale':
      return product(first, { low: source.factor ?? 1, high: source.factor ?? 1 });
  }
}

function product(a: Interval, b: Interval): Interval {
  const corners = [a.low * b.low, a.low * b.high, a.high * b.low, a.high * b.high];
  return { low: Math.min(...corners), high: Math.max(...corners) };
}
