import { stepUnit } from '../engineering/calibration.ts';
import type { Derivation } from '../engineering/derive.ts';
import {
  differenceUnit,
  parseUnit,
  productUnit,
  quotientUnit,
  sameDimension,
  sameInterval,
  sameUnit,
  type Unit,
  unitSymbols,
} from '../engineering/units.ts';
import type { JsonNode } from './json-node.ts';
import { oneOfHint } from './nearest.ts';
import type { Places } from './read-common.ts';
import type { Parameter, Role } from './types.ts';

/** The unit, up to a factor, that a role is measured in. */
const ROLE_UNITS: Readonly<Partial<Record<Role, string>>> = {
  battery_voltage: 'V',
  battery_current: 'A',
  battery_temperature: 'K',
  panel_current: 'A',
  uptime: 's',
};

/**
 * Checks that every unit is one, that calibrations and derivations end in the stated unit, and that roles have theirs. Parameters without a
 * unit are left alone, and so are derived ones with a calibration, which may turn any unit into any other.
 */
export function checkUnits(parameters: readonly Parameter[], places: Places): void {
  const units = new Map<string, Unit>();
  for (const parameter of parameters) {
    if (parameter.unit === undefined) continue;
    const node = places.get(parameter)?.child('unit');
    const unit = parseUnit(parameter.unit);
    if (unit === null) {
      node?.fault(
        'unknown-unit',
        `a unit as UCUM writes it (V, mA, Wh, s, Cel, %, bit/s, ...), or no unit for a plain number: ${oneOfHint(parameter.unit, unitSymbols())}`,
      );
      continue;
    }
    units.set(parameter.id, unit);
    checkRole(parameter, unit, node);
    checkLastStep(parameter, unit, node);
  }
  for (const parameter of parameters) {
    const unit = units.get(parameter.id);
    if (parameter.source.source !== 'derive' || unit === undefined || parameter.calibrations.length > 0) continue;
    const operands = parameter.source.of.flatMap((id) => units.get(id) ?? []);
    if (operands.length === parameter.source.of.length) {
      checkDerived(parameter.source, unit, operands, places.get(parameter)?.child('unit'));
    }
  }
}

function checkRole({ role }: Parameter, unit: Unit, node: JsonNode | undefined): void {
  const symbol = role === undefined ? undefined : ROLE_UNITS[role];
  const wanted = symbol === undefined ? null : parseUnit(symbol);
  if (wanted !== null && !sameDimension(unit, wanted)) {
    node?.fault('unit-mismatch', `${wanted.symbol} or a multiple of it, because the role is ${role}`);
  }
}

function checkLastStep({ calibrations }: Parameter, unit: Unit, node: JsonNode | undefined): void {
  for (const { value: steps } of calibrations) {
    const step = steps.at(-1);
    const symbol = step === undefined ? null : stepUnit(step);
    const given = symbol === null ? null : parseUnit(symbol);
    if (given !== null && !sameUnit(unit, given)) {
      node?.fault('unit-mismatch', `${symbol}, which is what the last calibration step, ${step?.step}, gives`);
    }
  }
}

function checkDerived(source: Derivation, unit: Unit, operands: readonly Unit[], node: JsonNode | undefined): void {
  const of = `the ${source.operation} of ${operands.map(({ symbol }) => symbol).join(' and ')}`;
  const derived = derivedUnit(source, operands);
  if (derived === null) {
    node?.fault('unit-mismatch', `operands that go together: ${of} has no unit`);
    return;
  }
  const agrees =
    source.operation === 'scale'
      ? sameDimension(unit, derived)
      : source.operation === 'difference'
        ? sameInterval(unit, derived)
        : sameUnit(unit, derived);
  if (!agrees) node?.fault('unit-mismatch', `${derived.symbol}, which is ${of}`);
}

/** Null when the operands cannot be combined, like volts added to amperes or a product of degrees Celsius. */
function derivedUnit({ operation }: Derivation, operands: readonly Unit[]): Unit | null {
  const [first, ...rest] = operands;
  switch (operation) {
    case 'product':
      return rest.reduce<Unit | null>((all, each) => (all === null ? null : productUnit(all, each)), first);
    case 'quotient':
      return quotientUnit(first, rest[0]);
    case 'scale':
      return first.offset === 0 ? first : null;
    default: {
      if (!rest.every((each) => sameUnit(first, each))) return null;
      if (operation === 'difference') return differenceUnit(first);
      return operation === 'sum' && first.offset !== 0 ? null : first;
    }
  }
}
