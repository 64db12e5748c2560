/**
 * Units as UCUM writes them, with the few spellings that people use beside it (`°C`, `Ω`, `µ`, `Wh`, `Ah`, `·`, `²`).
 * Symbols follow The Unified Code for Units of Measure, factors the SI Brochure (9th edition).
 */
export interface Unit {
  /** As given. */
  readonly symbol: string;
  /** A value v of this unit is `v * factor + offset` in SI base units. */
  readonly factor: number;
  readonly offset: number;
  /** Exponents of m, kg, s, A, K, mol, cd, bit and dB. */
  readonly dimension: Dimension;
}

export type Dimension = readonly number[];

const BASES = ['m', 'kg', 's', 'A', 'K', 'mol', 'cd', 'bit', 'dB'];

const PREFIXES: ReadonlyMap<string, number> = new Map([
  ...Object.entries({ Y: 1e24, Z: 1e21, E: 1e18, P: 1e15, T: 1e12, G: 1e9, M: 1e6, k: 1e3, h: 1e2, da: 1e1 }),
  ...Object.entries({ d: 1e-1, c: 1e-2, m: 1e-3, u: 1e-6, µ: 1e-6, μ: 1e-6, n: 1e-9, p: 1e-12, f: 1e-15, a: 1e-18 }),
]);

interface Atom {
  readonly factor: number;
  readonly dimension: Dimension;
  readonly metric: boolean;
  readonly offset?: number;
}

const ATOMS: ReadonlyMap<string, Atom> = atoms();

/** Reads a unit such as `V`, `mA`, `m/s2`, `W.h` or `1/min`; null when it is none. */
export function parseUnit(symbol: string): Unit | null {
  if (symbol === '' || symbol.length > 40) return null;
  let factor = 1;
  let dimension: Dimension = BASES.map(() => 0);
  let sign = 1;
  const pieces = symbol.split(/([/.·*])/);
  for (const [i, piece] of pieces.entries()) {
    if (i % 2 === 1) {
      sign = piece === '/' ? -1 : 1;
      continue;
    }
    if (piece === '' && i === 0 && pieces[1] === '/') continue;
    const component = parseComponent(piece);
    if (component === null) return null;
    if (component.offset !== 0) return pieces.length === 1 ? { symbol, ...component } : null;
    factor *= component.factor ** sign;
    dimension = combined(dimension, component.dimension, sign);
  }
  return { symbol, factor, offset: 0, dimension };
}

/** The unit of a product; null when a factor has a zero of its own (`°C`), which makes products meaningless. */
export function productUnit(a: Unit, b: Unit): Unit | null {
  return composed(a, b, 1);
}

/** The unit of a quotient; null as for products. */
export function quotientUnit(a: Unit, b: Unit): Unit | null {
  return composed(a, b, -1);
}

/** The unit of a difference: that of the operands, where `°C` gives kelvins. */
export function differenceUnit(a: Unit): Unit {
  return a.offset === 0 ? a : { symbol: 'K', factor: a.factor, offset: 0, dimension: a.dimension };
}

export function sameDimension(a: Unit, b: Unit): boolean {
  return a.dimension.every((exponent, i) => exponent === b.dimension[i]);
}

/** True when a number means the same in both units. */
export function sameUnit(a: Unit, b: Unit): boolean {
  return sameDimension(a, b) && a.offset === b.offset && Math.abs(a.factor / b.factor - 1) < 1e-9;
}

/** True when a difference means the same number in both units: `K` and `°C`. */
export function sameInterval(a: Unit, b: Unit): boolean {
  return sameUnit({ ...a, offset: 0 }, { ...b, offset: 0 });
}

/** Unit symbols that stand without a prefix, for hints. */
export function unitSymbols(): string[] {
  return [...ATOMS.keys()];
}

function parseComponent(text: string): { factor: number; offset: number; dimension: Dimension } | null {
  if (text === '1' || /^\{[^{}]*\}$/.test(text)) return { factor: 1, offset: 0, dimension: BASES.map(() => 0) };
  const match = /^(\D+?)(?:\^?([+-]?\d)|([²³]))?$/u.exec(text);
  if (match === null) return null;
  const atom = findAtom(match[1]);
  if (atom === null) return null;
  const exponent = match[2] !== undefined ? Number(match[2]) : match[3] === '²' ? 2 : match[3] === '³' ? 3 : 1;
  const offset = atom.offset ?? 0;
  if (exponent === 0 || (offset !== 0 && exponent !== 1)) return null;
  return { factor: atom.factor ** exponent, offset, dimension: atom.dimension.map((each) => each * exponent) };
}

function findAtom(symbol: string): Atom | null {
  const whole = ATOMS.get(symbol);
  if (whole !== undefined) return whole;
  for (const length of [2, 1]) {
    const prefix = PREFIXES.get(symbol.slice(0, length));
    const atom = ATOMS.get(symbol.slice(length));
    if (prefix !== undefined && atom?.metric) return { ...atom, factor: prefix * atom.factor };
  }
  return null;
}

function composed(a: Unit, b: Unit, sign: 1 | -1): Unit | null {
  if (a.offset !== 0 || b.offset !== 0) return null;
  const factor = a.factor * b.factor ** sign;
  const dimension = combined(a.dimension, b.dimension, sign);
  return { symbol: nameOf(factor, dimension), factor, offset: 0, dimension };
}

function combined(a: Dimension, b: Dimension, sign: number): Dimension {
  return a.map((exponent, i) => exponent + sign * b[i]);
}

/** The shortest usual symbol of a unit that was computed: `mW` rather than base units, where there is one. */
function nameOf(factor: number, dimension: Dimension): string {
  const matches = (atom: Atom, prefix: number) =>
    atom.offset === undefined &&
    Math.abs((atom.factor * prefix) / factor - 1) < 1e-9 &&
    atom.dimension.every((exponent, i) => exponent === dimension[i]);
  if (factor === 1 && dimension.every((exponent) => exponent === 0)) return '1';
  for (const [symbol, atom] of ATOMS) if (matches(atom, 1)) return symbol;
  for (const [symbol, atom] of ATOMS) {
    if (!atom.metric) continue;
    for (const [prefix, value] of PREFIXES) if (matches(atom, value)) return prefix + symbol;
  }
  const bases = dimension.flatMap((exponent, i) =>
    exponent === 0 ? [] : [BASES[i] + (exponent === 1 ? '' : `${exponent}`)],
  );
  const si = bases.length === 0 ? '1' : bases.join('.');
  return Math.abs(factor - 1) < 1e-9 ? si : `${Number(factor.toPrecision(6))} ${si}`;
}

function atoms(): Map<string, Atom> {
  const of = (dimension: Partial<Record<(typeof BASES)[number], number>>, factor = 1, metric = true): Atom => ({
    factor,
    metric,
    dimension: BASES.map((base) => dimension[base] ?? 0),
  });
  const energy = { m: 2, kg: 1, s: -2 };
  const power = { m: 2, kg: 1, s: -3 };
  const voltage = { ...power, A: -1 };
  const field = { kg: 1, s: -2, A: -1 };
  const resistance = { ...power, A: -2 };
  const once = (atom: Atom): Atom => ({ ...atom, metric: false });
  return new Map<string, Atom>([
    ['m', of({ m: 1 })],
    ['g', of({ kg: 1 }, 1e-3)],
    ['s', of({ s: 1 })],
    ['A', of({ A: 1 })],
    ['K', of({ K: 1 })],
    ['mol', of({ mol: 1 })],
    ['cd', of({ cd: 1 })],
    ['bit', of({ bit: 1 })],
    ['By', of({ bit: 1 }, 8)],
    ['Hz', of({ s: -1 })],
    ['Bd', of({ s: -1 })],
    ['Bq', of({ s: -1 })],
    ['N', of({ m: 1, kg: 1, s: -2 })],
    ['Pa', of({ m: -1, kg: 1, s: -2 })],
    ['bar', of({ m: -1, kg: 1, s: -2 }, 1e5)],
    ['J', of(energy)],
    ['eV', of(energy, 1.602176634e-19)],
    ['Wh', of(energy, 3600)],
    ['W', of(power)],
    ['V', of(voltage)],
    ['Ohm', of(resistance)],
    ['Ω', of(resistance)],
    ['S', of({ m: -2, kg: -1, s: 3, A: 2 })],
    ['C', of({ s: 1, A: 1 })],
    ['Ah', of({ s: 1, A: 1 }, 3600)],
    ['F', of({ m: -2, kg: -1, s: 4, A: 2 })],
    ['H', of({ m: 2, kg: 1, s: -2, A: -2 })],
    ['Wb', of({ m: 2, kg: 1, s: -2, A: -1 })],
    ['T', of(field)],
    ['G', of(field, 1e-4)],
    ['lm', of({ cd: 1 })],
    ['lx', of({ m: -2, cd: 1 })],
    ['Gy', of({ m: 2, s: -2 })],
    ['Sv', of({ m: 2, s: -2 })],
    ['l', of({ m: 3 }, 1e-3)],
    ['L', of({ m: 3 }, 1e-3)],
    ['Cel', { ...of({ K: 1 }, 1, false), offset: 273.15 }],
    ['°C', { ...of({ K: 1 }, 1, false), offset: 273.15 }],
    ['min', of({ s: 1 }, 60, false)],
    ['h', of({ s: 1 }, 3600, false)],
    ['d', of({ s: 1 }, 86400, false)],
    ['rad', of({})],
    ['deg', of({}, Math.PI / 180, false)],
    ['°', of({}, Math.PI / 180, false)],
    ['%', of({}, 1e-2, false)],
    ['[ppm]', of({}, 1e-6, false)],
    ['ppm', of({}, 1e-6, false)],
    ['dB', once(of({ dB: 1 }))],
    ['dBm', once(of({ dB: 1 }))],
    ['dBW', once(of({ dB: 1 }))],
  ]);
}
