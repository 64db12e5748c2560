import { compact, type JsonNode, type JsonObject } from './json-node.ts';
import { oneOfHint } from './nearest.ts';
import { overlap, type Places, readCondition, readId, readValidity, type Validity } from './read-common.ts';
import type { Bounds, CalibrationStep, FieldRef, LimitSet, Parameter, ParameterSource, Role, Valid } from './types.ts';

const ROLES: readonly Role[] = [
  'battery_voltage',
  'battery_current',
  'battery_temperature',
  'panel_current',
  'uptime',
  'clock',
  'restart_count',
  'sequence',
  'mode',
];

const PARAMETER_KEYS = [
  'id',
  'name',
  'unit',
  'group',
  'from',
  'bit',
  'bits',
  'signed',
  'derive',
  'calibration',
  'role',
  'limits',
  'persistence',
  'states',
  'decimals',
];

export function readParameter(node: JsonNode, places: Places): Parameter | undefined {
  const object = node.asObject(PARAMETER_KEYS);
  if (object === undefined) return undefined;
  const id = readId(object.need('id', 'the id of the parameter'));
  const name = object.get('name')?.asText({ most: 100 }) ?? id;
  const unit = object.get('unit')?.asText({ most: 40 });
  const group = object.get('group')?.asText({ most: 40 });
  const source = readSource(node, object);
  const calibrations = readCalibrations(object.get('calibration'), places);
  const limits = readLimits(object.get('limits'), places);
  const role = object.get('role')?.asChoice(ROLES);
  const persistence = object.get('persistence')?.asNumber({ least: 1, most: 1000, whole: true }) ?? 1;
  const states = readStates(object.get('states'));
  const decimals = object.get('decimals')?.asNumber({ least: 0, most: 12, whole: true });
  if (id === undefined || name === undefined || source === undefined) return undefined;
  const parameter: Parameter = {
    ...compact({ unit, group, role, states, decimals }),
    id,
    name,
    source,
    calibrations,
    limits,
    persistence,
  };
  places.set(parameter, node);
  return parameter;
}

function readSource(node: JsonNode, object: JsonObject): ParameterSource | undefined {
  const from = object.get('from');
  const derive = object.get('derive');
  if ((from === undefined) === (derive === undefined)) {
    return node.fault(from === undefined ? 'missing-key' : 'two-kinds', 'either from (a field) or derive (parameters)');
  }
  const bitNode = object.get('bit');
  const bitsNode = object.get('bits');
  const signedNode = object.get('signed');
  const signed = signedNode?.asBoolean() ?? false;
  if (derive !== undefined || !from?.isText) {
    for (const each of [bitNode, bitsNode]) each?.fault('does-not-belong', 'nothing: bits are taken from one field');
  }
  if (derive !== undefined) {
    signedNode?.fault('does-not-belong', 'nothing: only raw values of fields are signed');
    return readDerivation(derive);
  }
  if (from === undefined) return undefined;
  if (!from.isText) return readJoin(from, signed);
  const ref = readRef(from);
  const bits = readBits(bitNode, bitsNode);
  return ref === undefined ? undefined : compact({ source: 'field' as const, ref, bits, signed });
}

function readRef(node: JsonNode): FieldRef | undefined {
  const id = '[A-Za-z][A-Za-z0-9_-]{0,63}';
  const pattern = new RegExp(`^(?:(${id})\\.)?(${id})$`);
  const text = node.asText({ most: 129, pattern, what: 'a field id, or frame.field' });
  const [, frame, field] = pattern.exec(text ?? '') ?? [];
  return field === undefined ? undefined : compact({ frame, field });
}

function readBits(bitNode: JsonNode | undefined, bitsNode: JsonNode | undefined): [number, number] | undefined {
  const place = { least: 0, most: 52, whole: true };
  if (bitNode !== undefined && bitsNode !== undefined) return bitNode.fault('two-kinds', 'bit or bits, not both');
  const bit = bitNode?.asNumber(place);
  if (bit !== undefined) return [bit, bit];
  const [low, high] = bitsNode?.asList('two bit numbers', 2, 2)?.map((each) => each.asNumber(place)) ?? [];
  if (low === undefined || high === undefined) return undefined;
  return low > high ? bitsNode?.fault('wrong-order', 'the lower bit first') : [low, high];
}

function readJoin(node: JsonNode, signed: boolean): ParameterSource | undefined {
  const object = node.asObject(['join', 'order', 'as', 'where']);
  const joinNode = object?.need('join', 'a list of fields');
  const refs = joinNode?.asList('fields', 1, 16)?.map(readRef);
  const order = object?.get('order')?.asChoice(['big', 'little'] as const) ?? 'big';
  const as = object?.get('as')?.asChoice(['integer', 'float32', 'bcd'] as const) ?? 'integer';
  const where = readWhere(object?.get('where'));
  if (refs === undefined || !refs.every((ref) => ref !== undefined)) return undefined;
  return { source: 'join', refs, order, as, signed, where };
}

function readWhere(node: JsonNode | undefined): Record<string, number | string> {
  const object = node?.asMap();
  const where = (object?.keys() ?? []).flatMap((key) => {
    const value = object?.get(key);
    const wanted = value?.isText ? value.asText({ most: 64 }) : value?.asNumber();
    return wanted === undefined ? [] : [[key, wanted] as const];
  });
  return Object.fromEntries(where);
}

const OPERATIONS = ['sum', 'difference', 'product', 'quotient', 'mean', 'least', 'greatest', 'scale'] as const;

function readDerivation(node: JsonNode): ParameterSource | undefined {
  const object = node.asObject([...OPERATIONS, 'withinSeconds']);
  const given = OPERATIONS.filter((operation) => object?.has(operation));
  const withinSeconds = object?.get('withinSeconds')?.asNumber({ least: 0, most: 1e9 });
  const list = given.length === 1 ? object?.get(given[0]) : undefined;
  if (object === undefined) return undefined;
  if (list === undefined) return node.fault('missing-key', `exactly one of ${OPERATIONS.join(', ')}`);
  const [operation] = given;
  if (operation === 'scale') {
    const [first, second] = list.asList('a parameter and a factor', 2, 2) ?? [];
    const id = readId(first);
    const factor = second?.asNumber();
    if (id === undefined || factor === undefined) return undefined;
    return compact({ source: 'derive' as const, operation, of: [id], factor, withinSeconds });
  }
  const two = operation === 'difference' || operation === 'quotient';
  const of = list.asList('parameter ids', two ? 2 : 1, two ? 2 : 64)?.map(readId);
  if (of === undefined || !of.every((id) => id !== undefined)) return undefined;
  return compact({ source: 'derive' as const, operation, of, withinSeconds });
}

/** A step, a list of steps, or a list of `{"steps": ..., "validFrom": ..., "validUntil": ...}`. */
function readCalibrations(node: JsonNode | undefined, places: Places): Valid<CalibrationStep[]>[] {
  if (node === undefined) return [];
  const hasSteps = (each: JsonNode) =>
    typeof each.value === 'object' && each.value !== null && Object.hasOwn(each.value, 'steps');
  const nodes = node.isList ? (node.asList('calibration steps', 1, 100) ?? []) : [node];
  if (!nodes.some(hasSteps)) {
    const steps = readSteps(node, places);
    return steps === undefined ? [] : [{ value: steps }];
  }
  return onceEach(
    nodes.flatMap((each) => {
      const object = each.asObject(['steps', 'validFrom', 'validUntil']);
      const stepsNode = object?.need('steps', 'a calibration step or a list of them');
      const steps = stepsNode === undefined ? undefined : readSteps(stepsNode, places);
      if (object === undefined || steps === undefined) return [];
      return [{ node: each, entry: { value: steps, ...readValidity(object) } }];
    }),
  );
}

/** Refuses two entries that begin at the same time, because nothing says which is in force. */
function onceEach<T>(entries: readonly { node: JsonNode; entry: Valid<T> }[]): Valid<T>[] {
  for (const [i, { node, entry }] of entries.entries()) {
    const rival = entries
      .slice(0, i)
      .some((each) => each.entry.validFrom === entry.validFrom && overlap(each.entry, entry));
    if (rival) node.fault('same-validity', 'another validFrom than the entries before it');
  }
  return entries.map(({ entry }) => entry);
}

function readSteps(node: JsonNode, places: Places, depth = 0): CalibrationStep[] | undefined {
  if (depth > 4) return node.fault('too-deep', 'choose nested at most 4 deep');
  const nodes = node.isList ? node.asList('calibration steps', 0, 100) : [node];
  const steps = nodes?.map((each) => readStep(each, places, depth));
  return steps?.every((step) => step !== undefined) ? steps : undefined;
}

const STEPS = ['polynomial', 'points', 'adc', 'ratio', 'divider', 'thermistor', 'platinum', 'choose'] as const;
const POSITIVE = { least: 0, most: 1e12, open: true };

function readStep(node: JsonNode, places: Places, depth: number): CalibrationStep | undefined {
  const object = node.asObject(STEPS);
  if (object === undefined) return undefined;
  const given = STEPS.filter((step) => object.has(step));
  const main = given.length === 1 ? object.get(given[0]) : undefined;
  if (main === undefined) {
    return given.length === 0
      ? node.fault('unknown-step', oneOfHint(object.keys()[0] ?? '', STEPS))
      : node.fault('two-kinds', 'one key a step; a list for several steps');
  }
  switch (given[0]) {
    case 'polynomial': {
      const coefficients = readNumbers(main, 'coefficients, the constant first', 1, 16);
      return coefficients === undefined ? undefined : { step: 'polynomial', coefficients };
    }
    case 'points':
      return readPoints(main);
    case 'adc': {
      const parts = main.asObject(['bits', 'referenceVolts']);
      const bits = parts?.need('bits', 'the bits of the converter')?.asNumber({ least: 1, most: 32, whole: true });
      const referenceVolts = parts?.need('referenceVolts', 'the voltage of full scale')?.asNumber(POSITIVE);
      return bits === undefined || referenceVolts === undefined ? undefined : { step: 'adc', bits, referenceVolts };
    }
    case 'ratio': {
      const ratio = main.asNumber();
      return ratio === undefined ? undefined : { step: 'ratio', ratio };
    }
    case 'divider':
      return readDivider(main);
    case 'thermistor':
      return readThermistor(main);
    case 'platinum': {
      const ohmsAt0C = main.asObject(['ohmsAt0C'])?.need('ohmsAt0C', 'the resistance at 0 °C')?.asNumber(POSITIVE);
      return ohmsAt0C === undefined ? undefined : { step: 'platinum', ohmsAt0C };
    }
    case 'choose':
      return readChoose(main, places, depth);
  }
}

function readNumbers(node: JsonNode, what: string, least: number, most: number): number[] | undefined {
  const numbers = node.asList(what, least, most)?.map((each) => each.asNumber());
  return numbers?.every((number) => number !== undefined) ? numbers : undefined;
}

function readPoints(node: JsonNode): CalibrationStep | undefined {
  const nodes = node.asList('points [x, y]', 2, 1000);
  const points = nodes?.map((each): [number, number] | undefined => {
    const numbers = readNumbers(each, 'x and y', 2, 2);
    return numbers === undefined ? undefined : [numbers[0], numbers[1]];
  });
  if (nodes === undefined || points === undefined || !points.every((point) => point !== undefined)) return undefined;
  for (let i = 1; i < points.length; i++) {
    if (points[i][0] <= points[i - 1][0]) return nodes[i].fault('wrong-order', `an x above ${points[i - 1][0]}`);
  }
  return { step: 'points', points };
}

function readDivider(node: JsonNode): CalibrationStep | undefined {
  const object = node.asObject(['fixedOhms', 'supplyVolts', 'sensorSide']);
  const fixedOhms = object?.need('fixedOhms', 'the fixed resistance')?.asNumber(POSITIVE);
  const supplyVolts = object?.need('supplyVolts', 'the voltage over the divider')?.asNumber(POSITIVE);
  const sensorSide = object
    ?.need('sensorSide', '"low" (sensor to ground) or "high" (sensor to supply)')
    ?.asChoice(['low', 'high'] as const);
  if (fixedOhms === undefined || supplyVolts === undefined || sensorSide === undefined) return undefined;
  return { step: 'divider', fixedOhms, supplyVolts, sensorSide };
}

function readThermistor(node: JsonNode): CalibrationStep | undefined {
  const object = node.asObject(['betaKelvin', 'ohmsAt25C', 'steinhartHart']);
  const table = object?.get('steinhartHart');
  if (table !== undefined) {
    for (const key of ['betaKelvin', 'ohmsAt25C']) {
      object?.get(key)?.fault('two-kinds', 'nothing: either steinhartHart, or betaKelvin and ohmsAt25C');
    }
    const numbers = readNumbers(table, 'three coefficients', 3, 3);
    if (numbers === undefined) return undefined;
    return { step: 'steinhartHart', coefficients: [numbers[0], numbers[1], numbers[2]] };
  }
  const betaKelvin = object?.need('betaKelvin', 'the beta of the thermistor, kelvin')?.asNumber(POSITIVE);
  const ohmsAt25C = object?.need('ohmsAt25C', 'the resistance at 25 °C')?.asNumber(POSITIVE);
  return betaKelvin === undefined || ohmsAt25C === undefined
    ? undefined
    : { step: 'thermistor', betaKelvin, ohmsAt25C };
}

function readChoose(node: JsonNode, places: Places, depth: number): CalibrationStep | undefined {
  const nodes = node.asList('choices { when, steps }', 1, 64);
  const choices = nodes?.map((each, i) => {
    const object = each.asObject(['when', 'steps']);
    const whenNode = object?.get('when');
    const stepsNode = object?.need('steps', 'a calibration step or a list of them');
    const steps = stepsNode === undefined ? undefined : readSteps(stepsNode, places, depth + 1);
    const when = whenNode === undefined ? undefined : readCondition(whenNode, places);
    if (whenNode === undefined && object !== undefined && i < (nodes?.length ?? 0) - 1) {
      each.fault('missing-key', 'a when: only the last choice may stand without');
    }
    if (steps === undefined || (whenNode !== undefined && when === undefined)) return undefined;
    return compact({ when, steps });
  });
  return choices?.every((choice) => choice !== undefined) ? { step: 'choose', choices } : undefined;
}

/** A set `{"soft": [...], "hard": [...]}`, or a list of these with `when`, `validFrom`, `validUntil`. */
function readLimits(node: JsonNode | undefined, places: Places): Valid<LimitSet[]>[] {
  if (node === undefined) return [];
  const nodes = node.isList ? (node.asList('limits', 1, 64) ?? []) : [node];
  const groups: { validity: Validity; sets: LimitSet[]; node: JsonNode }[] = [];
  for (const each of nodes) {
    const object = each.asObject(['soft', 'hard', 'when', 'validFrom', 'validUntil']);
    const set = object === undefined ? undefined : readLimitSet(each, object, places);
    if (object === undefined || set === undefined) continue;
    const validity = readValidity(object);
    const same = groups.find(
      (group) => group.validity.validFrom === validity.validFrom && group.validity.validUntil === validity.validUntil,
    );
    if (same === undefined) groups.push({ validity, sets: [set], node: each });
    else if (same.sets.at(-1)?.when === undefined) each.fault('never-reached', 'no limits after some without when');
    else same.sets.push(set);
  }
  return onceEach(groups.map(({ validity, sets, node }) => ({ node, entry: { value: sets, ...validity } })));
}

function readLimitSet(node: JsonNode, object: JsonObject, places: Places): LimitSet | undefined {
  const softNode = object.get('soft');
  const hardNode = object.get('hard');
  const whenNode = object.get('when');
  if (softNode === undefined && hardNode === undefined)
    return node.fault('missing-key', 'soft or hard limits, or both');
  const soft = readBounds(softNode);
  const hard = readBounds(hardNode);
  const when = whenNode === undefined ? undefined : readCondition(whenNode, places);
  if (whenNode !== undefined && when === undefined) return undefined;
  if (soft !== undefined && hard !== undefined && !inside(soft, hard)) {
    softNode?.fault('wrong-order', `bounds inside the hard ones, ${JSON.stringify(hard)}`);
  }
  const set: LimitSet = compact({ soft, hard, when });
  places.set(set, node);
  return set;
}

function readBounds(node: JsonNode | undefined): Bounds | undefined {
  const bounds = node?.asList('two bounds [low, high], null for none', 2, 2)?.map((each) => {
    return each.value === null ? null : each.asNumber();
  });
  if (bounds === undefined) return undefined;
  const [low, high] = bounds;
  if (low === undefined || high === undefined) return undefined;
  if (low !== null && high !== null && low >= high) return node?.fault('wrong-order', 'the lower bound first');
  return [low, high];
}

function inside([softLow, softHigh]: Bounds, [hardLow, hardHigh]: Bounds): boolean {
  const lowInside = softLow === null || hardLow === null || softLow >= hardLow;
  return lowInside && (softHigh === null || hardHigh === null || softHigh <= hardHigh);
}

function readStates(node: JsonNode | undefined): Record<string, string> | undefined {
  const object = node?.asMap();
  if (object === undefined) return undefined;
  const states = object.keys().flatMap((key) => {
    const word = object.get(key)?.asText({ most: 64 });
    return word === undefined ? [] : [[key, word] as const];
  });
  return Object.fromEntries(states);
}
