import type { DecodedField, Trust } from '../frames/types.ts';
import { fieldsOf } from '../mission/layout.ts';
import type { Condition, FieldPart, FieldRef, Mission, Parameter } from '../mission/types.ts';
import { calibrate } from './calibration.ts';
import { conditionHolds, type Known } from './conditions.ts';
import { type Derivation, derive } from './derive.ts';
import { limitState, limitsInForce } from './limits.ts';
import { type FieldSource, fieldRaw, type JoinSource, joinRaw, type SourceField } from './source.ts';
import type { Reading } from './types.ts';
import { inForce } from './validity.ts';

/** What of a decoded frame makes its readings. */
export interface FrameForReadings {
  readonly frame: string;
  /** Only the fields that the frame holds: optional ones that were not sent are left out. */
  readonly fields: Readonly<Record<string, DecodedField>>;
  readonly trust: Trust;
  /** Probability that the whole frame was read right. */
  readonly confidence: number;
}

export interface ReadingOptions {
  /** ISO 8601 UTC; null when unknown. */
  readonly receivedAt: string | null;
  /** The last trusted reading of a parameter from another frame, for derived values and conditions with `withinSeconds`. */
  readonly earlier?: (parameterId: string) => { readonly value: number; readonly receivedAt: string } | null;
}

/** A joint posterior of a reading's own fields from which it is probable without the frame's help. */
const PROBABLE = 0.999;

/**
 * The readings that a frame gives, in the order of the mission's parameters. Those whose fields the frame does not hold, or whose
 * `where` does not fit, are left out; those without a value are null and say why.
 *
 * Confidence is the product of the confidences of the fields that a reading comes from, each once, and in an accepted frame not
 * less than that of the whole frame, because the frame is right only if they are. In a confirmed frame every
 * reading is confirmed; in any other it is probable from a joint confidence of 0.999 on, else doubtful.
 */
export function readingsOf(mission: Mission, frame: FrameForReadings, options: ReadingOptions): Reading[] {
  const evaluation = new FrameEvaluation(mission, frame, options);
  return mission.parameters.flatMap((parameter) => {
    const reading = evaluation.readingOf(parameter);
    return reading === null ? [] : [reading];
  });
}

/** A parameter's value on the way to its reading. */
interface Quantity extends Known {
  /** Ids of the fields of this frame that it depends on. */
  readonly fields: ReadonlySet<string>;
  readonly notes: readonly string[];
}

class FrameEvaluation {
  private readonly parameters: ReadonlyMap<string, Parameter>;
  private readonly parts: ReadonlyMap<string, FieldPart>;
  private readonly quantities = new Map<string, Quantity | null>();
  private readonly frame: FrameForReadings;
  private readonly options: ReadingOptions;

  constructor(mission: Mission, frame: FrameForReadings, options: ReadingOptions) {
    this.frame = frame;
    this.options = options;
    this.parameters = new Map(mission.parameters.map((parameter) => [parameter.id, parameter]));
    this.parts = fieldsOf(mission.frames.find(({ id }) => id === frame.frame)?.layout ?? []);
  }

  readingOf(parameter: Parameter): Reading | null {
    const quantity = this.quantityOf(parameter.id);
    if (quantity === null) return null;
    const confidence = this.confidenceOf(quantity.fields);
    const { limit, notes } = this.limitOf(parameter, quantity);
    return {
      parameter: parameter.id,
      value: quantity.word ?? quantity.number,
      unit: parameter.unit ?? null,
      trust: this.trustOf(confidence),
      confidence,
      limit,
      notes: [...new Set([...quantity.notes, ...notes])],
    };
  }

  /** Null when this frame does not give the parameter. */
  private quantityOf(id: string): Quantity | null {
    const known = this.quantities.get(id);
    if (known !== undefined) return known;
    const parameter = this.parameters.get(id);
    const raw = parameter === undefined ? null : this.rawQuantity(parameter);
    const quantity = parameter === undefined || raw === null ? null : this.calibrated(parameter, raw);
    this.quantities.set(id, quantity);
    return quantity;
  }

  private rawQuantity({ source }: Parameter): Quantity | null {
    switch (source.source) {
      case 'field':
        return this.fromField(source);
      case 'join':
        return this.fromJoin(source);
      case 'derive':
        return this.derived(source);
    }
  }

  private fromField(source: FieldSource): Quantity | null {
    const field = this.fieldOf(source.ref);
    if (field === null) return null;
    const raw = fieldRaw(source, field);
    return {
      number: typeof raw === 'number' ? raw : null,
      word: typeof raw === 'string' ? raw : null,
      fields: new Set([source.ref.field]),
      notes: raw === null ? [this.whyMissing(source.ref.field)] : [],
    };
  }

  private fromJoin(source: JoinSource): Quantity | null {
    for (const [field, value] of Object.entries(source.where)) {
      if (this.fieldOf({ field })?.raw !== value) return null;
    }
    const fields: SourceField[] = [];
    for (const ref of source.refs) {
      const field = this.fieldOf(ref);
      if (field === null) return null;
      fields.push(field);
    }
    const ids = source.refs.map(({ field }) => field);
    const without = ids.filter((_, i) => fields[i].raw === null);
    const number = joinRaw(source, fields);
    return {
      number,
      word: null,
      fields: new Set([...ids, ...Object.keys(source.where)]),
      notes: without.length > 0 ? without.map((id) => this.whyMissing(id)) : number === null ? [`no ${source.as}`] : [],
    };
  }

  private derived(source: Derivation): Quantity | null {
    const numbers: (number | null)[] = [];
    const fields = new Set<string>();
    const notes: string[] = [];
    let own = false;
    for (const id of source.of) {
      const quantity = this.quantityOf(id);
      const earlier = quantity === null ? this.earlierOf(id, source.withinSeconds) : null;
      if (quantity === null && earlier === null) return null;
      if (quantity !== null) own = true;
      if (earlier !== null) notes.push(`${id} as received at ${earlier.receivedAt}`);
      for (const field of quantity?.fields ?? []) fields.add(field);
      notes.push(...(quantity?.notes ?? []));
      numbers.push(quantity === null ? (earlier?.value ?? null) : quantity.number);
    }
    if (!own) return null;
    const operands = numbers.filter((number) => number !== null);
    const number = operands.length === numbers.length ? derive(source, operands) : null;
    if (number === null && operands.length === numbers.length) notes.push(`the ${source.operation} has no value here`);
    return { number, word: null, fields, notes };
  }

  private calibrated(parameter: Parameter, raw: Quantity): Quantity {
    const notes = [...raw.notes];
    const fields = new Set(raw.fields);
    let number = raw.number;
    if (number !== null && parameter.calibrations.length > 0) {
      const { value: steps, note } = inForce(parameter.calibrations, this.options.receivedAt, 'calibration');
      if (note !== null) notes.push(note);
      number = steps === null ? null : calibrate(steps, number, (condition) => this.chosenBy(condition, fields, notes));
      if (number === null && steps !== null) notes.push('outside the calibration');
    }
    const state = stateOf(parameter, raw.word ?? number);
    return { number, word: state ?? raw.word, fields, notes };
  }

  /** A condition that decides on the value itself: what it rests on counts for the confidence of the value. */
  private chosenBy(condition: Condition, fields: Set<string>, notes: string[]): boolean | null {
    for (const field of this.quantityOf(condition.parameter)?.fields ?? []) fields.add(field);
    const holds = conditionHolds(condition, this.knownOf(condition));
    if (holds === null) notes.push(`${condition.parameter} not known: no calibration chosen`);
    return holds;
  }

  private limitOf(parameter: Parameter, quantity: Quantity): Pick<Reading, 'limit' | 'notes'> {
    if (quantity.number === null || parameter.limits.length === 0) return { limit: null, notes: [] };
    const { value: sets, note } = inForce(parameter.limits, this.options.receivedAt, 'limits');
    const limits = sets === null ? null : limitsInForce(sets, (condition) => this.limitedBy(condition));
    return {
      limit: limits === null ? null : limitState(quantity.number, limits),
      notes: [note, limits?.note ?? null].filter((each) => each !== null),
    };
  }

  /** A condition that decides which limits apply: one that rests on doubtful fields is not known. */
  private limitedBy(condition: Condition): boolean | null {
    const quantity = this.quantityOf(condition.parameter);
    if (quantity !== null && this.trustOf(this.confidenceOf(quantity.fields)) === 'doubtful') return null;
    return conditionHolds(condition, this.knownOf(condition));
  }

  private knownOf(condition: Condition): Known | null {
    const quantity = this.quantityOf(condition.parameter);
    if (quantity !== null) return quantity;
    const earlier = this.earlierOf(condition.parameter, condition.withinSeconds);
    const parameter = this.parameters.get(condition.parameter);
    if (earlier === null || parameter === undefined) return null;
    return { number: earlier.value, word: stateOf(parameter, earlier.value) };
  }

  private earlierOf(id: string, withinSeconds: number | undefined): { value: number; receivedAt: string } | null {
    const { earlier, receivedAt } = this.options;
    if (withinSeconds === undefined || receivedAt === null) return null;
    const found = earlier?.(id) ?? null;
    if (found === null) return null;
    const seconds = Math.abs(Date.parse(receivedAt) - Date.parse(found.receivedAt)) / 1000;
    return seconds <= withinSeconds ? found : null;
  }

  private fieldOf(ref: FieldRef): SourceField | null {
    const part = this.parts.get(ref.field);
    if (part === undefined || (ref.frame !== undefined && ref.frame !== this.frame.frame)) return null;
    if (!Object.hasOwn(this.frame.fields, ref.field)) return null;
    return { form: part.form, raw: this.frame.fields[ref.field].raw };
  }

  private whyMissing(field: string): string {
    return this.frame.fields[field].text === '' ? `${field} not readable` : `${field} was sent as "no value"`;
  }

  private confidenceOf(fields: ReadonlySet<string>): number {
    let product = 1;
    for (const field of fields) product *= this.frame.fields[field].confidence;
    return this.frame.trust === 'doubtful' ? product : Math.max(product, this.frame.confidence);
  }

  private trustOf(confidence: number): Trust {
    if (this.frame.trust === 'confirmed') return 'confirmed';
    return confidence >= PROBABLE ? 'probable' : 'doubtful';
  }
}

/** The word that the mission gives a number or a text; null when it gives none. */
function stateOf(parameter: Parameter, value: number | string | null): string | null {
  if (parameter.states === undefined || value === null) return null;
  for (const [key, word] of Object.entries(parameter.states)) {
    if (typeof value === 'string' ? key === value : Number(key) === value) return word;
  }
  return null;
}
