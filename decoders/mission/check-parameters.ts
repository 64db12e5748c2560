import { type ParameterRange, rangeOf } from '../engineering/range.ts';
import { fieldValue, formCapacity } from '../frames/field-form.ts';
import { checkUnits } from './check-units.ts';
import type { JsonNode } from './json-node.ts';
import { fieldsOf, framesOf } from './layout.ts';
import { oneOfHint } from './nearest.ts';
import { boundsOutOfReach } from './reach.ts';
import type { Places } from './read-common.ts';
import type {
  CalibrationStep,
  Condition,
  FieldForm,
  FieldPart,
  FieldRef,
  FrameLayout,
  Mission,
  Parameter,
  ParameterSource,
} from './types.ts';

/** Checks what parameters refer to and whether their values, units and limits can be. Frames must be checked before. */
export function checkParameters(mission: Mission, places: Places): void {
  new ParameterCheck(mission, places).run();
}

class ParameterCheck {
  private readonly mission: Mission;
  private readonly places: Places;
  private readonly byId: ReadonlyMap<string, Parameter>;
  private readonly fields: ReadonlyMap<FrameLayout, ReadonlyMap<string, FieldPart>>;
  private readonly frames = new Map<string, readonly string[]>();
  private readonly ranges = new Map<string, ParameterRange | null>();

  constructor(mission: Mission, places: Places) {
    this.mission = mission;
    this.places = places;
    this.byId = new Map(mission.parameters.map((parameter) => [parameter.id, parameter]));
    this.fields = new Map(mission.frames.map((frame) => [frame, fieldsOf(frame.layout)]));
  }

  run(): void {
    const { parameters } = this.mission;
    let sound = true;
    for (const [i, parameter] of parameters.entries()) {
      if (parameters.findIndex(({ id }) => id === parameter.id) < i) {
        this.at(parameter, 'id')?.fault('duplicate', `an id other than ${parameter.id}, which stands before`);
      }
      sound = this.checkSource(parameter) && sound;
      for (const condition of conditionsOf(parameter)) sound = this.checkCondition(condition) && sound;
    }
    // What follows walks from parameter to parameter and needs every step to lead somewhere.
    if (!sound || !this.checkCycles()) return;
    for (const parameter of parameters) {
      this.checkSameFrame(parameter);
      this.checkWords(parameter);
    }
    checkUnits(parameters, this.places);
    for (const parameter of parameters) this.checkReach(parameter);
  }

  private checkSource(parameter: Parameter): boolean {
    const { source } = parameter;
    switch (source.source) {
      case 'field':
        return this.checkField(parameter, source);
      case 'join':
        return this.checkJoin(parameter, source);
      case 'derive': {
        const unknown = source.of.filter((id) => !this.byId.has(id));
        for (const id of unknown) this.at(parameter, 'derive')?.fault('unknown-parameter', this.parameterHint(id));
        return unknown.length === 0;
      }
    }
  }

  private checkField(parameter: Parameter, source: Extract<ParameterSource, { source: 'field' }>): boolean {
    const part = this.resolve(source.ref, this.at(parameter, 'from'));
    if (part === null) return false;
    const { form } = part;
    const whole = wholeNumbers(form);
    const node = this.at(parameter, source.bits === undefined ? 'signed' : 'bits', 'bit');
    if (source.bits === undefined && !source.signed) return true;
    if (!whole) {
      node?.fault('no-bits', `a field that prints whole numbers without sign, not ${describeForm(form)}`);
      return false;
    }
    const bitCount = Math.log2(formCapacity(form) ?? 1);
    if (source.bits !== undefined && source.bits[1] >= bitCount) {
      node?.fault('out-of-range', `bits 0 to ${Math.ceil(bitCount) - 1}, which is what ${describeForm(form)} holds`);
    }
    if (source.bits === undefined && !Number.isInteger(bitCount)) {
      node?.fault('no-bits', `bits as well: ${describeForm(form)} has no highest bit for a sign`);
    }
    return true;
  }

  private checkJoin(parameter: Parameter, source: Extract<ParameterSource, { source: 'join' }>): boolean {
    const node = this.at(parameter, 'from');
    const parts = source.refs.map((ref) => this.resolve(ref, node?.child('join')));
    const fields = parts.filter((part) => part !== null);
    if (fields.length < parts.length) return false;
    const frames = new Set(framesOf(this.mission, parameter, this.frames));
    if (frames.size === 0) {
      node?.child('join').fault('different-frames', 'fields of one frame');
      return false;
    }
    for (const { field, form } of fields) {
      if (!wholeNumbers(form) || (form.kind === 'digits' && form.min !== form.max)) {
        node
          ?.child('join')
          .fault('no-join', `fields of fixed width without sign or point: ${field} is ${describeForm(form)}`);
        return false;
      }
      if (source.as !== 'integer' && form.kind !== 'hex') {
        node?.child('as').fault('no-join', `hex fields for ${source.as}: ${field} is ${describeForm(form)}`);
        return false;
      }
    }
    const capacity = fields.reduce((product, { form }) => product * (formCapacity(form) ?? 1), 1);
    if (source.as === 'float32' && capacity !== 2 ** 32)
      node?.child('as').fault('no-join', 'eight hex digits for a float32');
    if (capacity > Number.MAX_SAFE_INTEGER) node?.child('join').fault('out-of-range', 'at most 53 bits in all');
    if (source.signed && (source.as !== 'integer' || !Number.isInteger(Math.log2(capacity)))) {
      this.at(parameter, 'signed')?.fault('no-bits', 'an integer joined of hex fields');
    }
    for (const [field, value] of Object.entries(source.where)) {
      const whereNode = node?.child('where');
      const inFrames = this.mission.frames.filter(({ id }) => frames.has(id));
      const part = inFrames.map((frame) => this.fields.get(frame)?.get(field)).find((each) => each !== undefined);
      if (part === undefined) whereNode?.fault('unknown-field', this.fieldHint(field, inFrames));
      else if (!canBe(part.form, value)) {
        whereNode?.child(field).fault('never-true', `a value that ${describeForm(part.form)} can have`);
      }
    }
    return true;
  }

  /** The field that a reference means; reports a fault and gives null when it means none or several. */
  private resolve(ref: FieldRef, node: JsonNode | undefined): FieldPart | null {
    const { frames } = this.mission;
    const named = frames.filter(({ id }) => ref.frame === undefined || id === ref.frame);
    if (named.length === 0) {
      node?.fault(
        'unknown-frame',
        `a frame: ${oneOfHint(
          ref.frame ?? '',
          frames.map(({ id }) => id),
        )}`,
      );
      return null;
    }
    const holding = named.filter((frame) => this.fields.get(frame)?.has(ref.field));
    const parts = holding.flatMap((frame) => this.fields.get(frame)?.get(ref.field) ?? []);
    if (parts.length === 0) {
      node?.fault('unknown-field', this.fieldHint(ref.field, named));
      return null;
    }
    const alike = parts.every(
      (part) => JSON.stringify([part.form, part.missing]) === JSON.stringify([parts[0].form, parts[0].missing]),
    );
    if (!alike) {
      const choices = holding.map(({ id }) => `${id}.${ref.field}`).join(', ');
      node?.fault('ambiguous-field', `one of ${choices}: the field is printed differently in these frames`);
      return null;
    }
    return parts[0];
  }

  private checkCondition(condition: Condition): boolean {
    const node = this.places.get(condition);
    const parameter = this.byId.get(condition.parameter);
    if (parameter === undefined) {
      node?.child('parameter').fault('unknown-parameter', this.parameterHint(condition.parameter));
      return false;
    }
    const words = this.wordsOf(parameter);
    if (typeof condition.equals === 'string' && !words.includes(condition.equals)) {
      const expected =
        words.length === 0 ? `a number: ${parameter.id} has no words` : oneOfHint(condition.equals, words);
      node?.child('equals').fault('never-true', expected);
    }
    const numeric =
      typeof condition.equals === 'number' || condition.above !== undefined || condition.below !== undefined;
    if (numeric && this.isText(parameter)) node?.fault('never-true', `equals with a text: ${parameter.id} is a text`);
    return true;
  }

  /** Parameters whose values depend on each other in a circle have none. */
  private checkCycles(): boolean {
    const done = new Set<string>();
    let sound = true;
    const visit = (id: string, trail: readonly string[]): void => {
      const parameter = this.byId.get(id);
      if (parameter === undefined || done.has(id)) return;
      const start = trail.indexOf(id);
      if (start >= 0) {
        const circle = [...trail.slice(start), id].join(' <- ');
        this.at(parameter, 'derive', 'calibration')?.fault(
          'cycle',
          `values that do not depend on themselves, as in ${circle}`,
        );
        sound = false;
        return;
      }
      for (const needed of neededBy(parameter)) visit(needed, [...trail, id]);
      done.add(id);
    };
    for (const { id } of this.mission.parameters) visit(id, []);
    return sound;
  }

  private checkSameFrame(parameter: Parameter): void {
    const { source } = parameter;
    if (source.source !== 'derive' || source.withinSeconds !== undefined) return;
    if (framesOf(this.mission, parameter, this.frames).length === 0) {
      this.at(parameter, 'derive')?.fault('different-frames', 'parameters of one frame, or withinSeconds beside them');
    }
    for (const id of source.of) {
      const operand = this.byId.get(id);
      if (operand !== undefined && this.isText(operand)) {
        this.at(parameter, 'derive')?.fault('not-a-number', `parameters with numbers: ${id} is a text`);
      }
    }
  }

  /** States against the values that can occur, and numbers' attributes on texts. */
  private checkWords(parameter: Parameter): void {
    const text = this.isText(parameter);
    if (text && parameter.calibrations.length > 0) {
      this.at(parameter, 'calibration')?.fault('not-a-number', 'nothing: the field is a text');
    }
    if (text && parameter.limits.length > 0)
      this.at(parameter, 'limits')?.fault('not-a-number', 'nothing: the field is a text');
    const texts = this.textsOf(parameter);
    for (const key of Object.keys(parameter.states ?? {})) {
      const node = this.at(parameter, 'states')?.child(key);
      if (text && !texts.includes(key)) node?.fault('never-true', oneOfHint(key, texts));
      if (!text && (key.trim() === '' || !Number.isFinite(Number(key)))) {
        node?.fault('never-true', 'a number in quotes as key, as in "0"');
      }
    }
  }

  private checkReach(parameter: Parameter): void {
    const range = parameter.limits.length === 0 ? null : rangeOf(this.mission, parameter, this.ranges);
    if (range === null) return;
    const shown = `${Number(range.low.toPrecision(6))} to ${Number(range.high.toPrecision(6))}`;
    for (const set of parameter.limits.flatMap(({ value: sets }) => sets)) {
      for (const kind of boundsOutOfReach(set, range)) {
        const expected = `bounds within ${shown}, which is all that ${parameter.id} can show`;
        this.places.get(set)?.child(kind).fault('limit-out-of-reach', expected, 'warning');
      }
    }
  }

  private isText(parameter: Parameter): boolean {
    return this.textsOf(parameter).length > 0;
  }

  private textsOf({ source }: Parameter): readonly string[] {
    if (source.source !== 'field') return [];
    for (const [frame, fields] of this.fields) {
      const form =
        source.ref.frame === undefined || source.ref.frame === frame.id
          ? fields.get(source.ref.field)?.form
          : undefined;
      if (form !== undefined) return form.kind === 'oneOf' ? form.texts : [];
    }
    return [];
  }

  /** The words that a parameter's value can be. */
  private wordsOf(parameter: Parameter): string[] {
    const states = parameter.states ?? {};
    return [
      ...new Set([...this.textsOf(parameter).filter((text) => !Object.hasOwn(states, text)), ...Object.values(states)]),
    ];
  }

  private parameterHint(id: string): string {
    return `a parameter, not ${JSON.stringify(id)}: ${oneOfHint(id, [...this.byId.keys()])}`;
  }

  private fieldHint(field: string, frames: readonly FrameLayout[]): string {
    const ids = [...new Set(frames.flatMap((frame) => [...(this.fields.get(frame)?.keys() ?? [])]))];
    return `a field of ${frames.map(({ id }) => id).join(', ')}: ${oneOfHint(field, ids)}`;
  }

  /** Where the first of these keys stands in a parameter's definition. */
  private at(parameter: Parameter, ...keys: string[]): JsonNode | undefined {
    const node = this.places.get(parameter);
    return keys.map((key) => node?.child(key)).find((each) => each !== node) ?? node;
  }
}

function* conditionsOf(parameter: Parameter): Generator<Condition> {
  for (const { value: sets } of parameter.limits) for (const { when } of sets) if (when !== undefined) yield when;
  for (const { value: steps } of parameter.calibrations) yield* conditionsOfSteps(steps);
}

function* conditionsOfSteps(steps: readonly CalibrationStep[]): Generator<Condition> {
  for (const step of steps) {
    if (step.step !== 'choose') continue;
    for (const choice of step.choices) {
      if (choice.when !== undefined) yield choice.when;
      yield* conditionsOfSteps(choice.steps);
    }
  }
}

/** Parameters whose values a parameter's own value needs; its limits do not count. */
function neededBy(parameter: Parameter): string[] {
  const operands = parameter.source.source === 'derive' ? parameter.source.of : [];
  const conditions = parameter.calibrations.flatMap(({ value }) => [...conditionsOfSteps(value)]);
  return [...operands, ...conditions.map((condition) => condition.parameter)];
}

function wholeNumbers(form: FieldForm): boolean {
  return form.kind !== 'oneOf' && (form.kind !== 'digits' || (form.decimals === 0 && form.sign === undefined));
}

function canBe(form: FieldForm, value: number | string): boolean {
  if (form.kind === 'oneOf') return typeof value === 'string' && fieldValue(form, value) === value;
  return typeof value === 'number' && Math.abs(value) < (formCapacity(form) ?? 0);
}

function describeForm(form: FieldForm): string {
  switch (form.kind) {
    case 'digits':
      return `${form.min === form.max ? form.min : `${form.min} to ${form.max}`} digits${form.decimals > 0 ? ` with ${form.decimals} decimals` : ''}${form.sign === undefined ? '' : ' with a sign'}`;
    case 'oneOf':
      return `one of ${form.texts.slice(0, 8).join(', ')}`;
    case 'symbols':
      return `${form.length} of the symbols ${form.symbols}`;
    default:
      return `${form.length} ${form.kind === 'hex' ? 'hex digits' : 'letters'}`;
  }
}
