import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  differenceUnit,
  parseUnit,
  productUnit,
  quotientUnit,
  sameDimension,
  sameInterval,
  sameUnit,
  type Unit,
} from '../../../decoders/engineering/units.ts';

function unit(symbol: string): Unit {
  const parsed = parseUnit(symbol);
  if (parsed === null) throw new Error(`no unit ${symbol}`);
  return parsed;
}

describe('parseUnit', () => {
  // Definitions of derived units: SI Brochure, 9th edition, table 4.
  test.each([
    ['V', 'W/A'],
    ['W', 'J/s'],
    ['Ohm', 'V/A'],
    ['Ω', 'Ohm'],
    ['S', 'A/V'],
    ['F', 'C/V'],
    ['C', 'A.s'],
    ['Wb', 'V.s'],
    ['T', 'Wb/m2'],
    ['H', 'Wb/A'],
    ['Hz', '/s'],
    ['Pa', 'N/m2'],
    ['N', 'kg.m.s-2'],
    ['J', 'N·m'],
    ['lx', 'cd/m²'],
    ['Wh', 'W.h'],
    ['mAh', 'mA.h'],
    ['kWh', 'kW·h'],
    ['°C', 'Cel'],
    ['µA', 'uA'],
    ['l', 'dm3'],
    ['bar', 'dN/mm2.{gauge}'],
  ] as const)('%s and %s are one unit', (a, b) => {
    expect(sameDimension(unit(a), unit(b))).toBe(true);
    expect(sameUnit(unit(a), unit(b))).toBe(true);
  });

  test.each([
    ['mV', 1e-3],
    ['kHz', 1e3],
    ['MHz', 1e6],
    ['min', 60],
    ['ms', 1e-3],
    ['%', 0.01],
    ['deg/s', Math.PI / 180],
    ['1', 1],
    ['km/h', 1 / 3.6],
    ['mm2', 1e-6],
    ['bit/s', 1],
    ['daN', 10],
  ])('%s is %d of SI', (symbol, factor) => expect(unit(symbol).factor).toBeCloseTo(factor, 12));

  test.each([
    '',
    'Volt',
    'v',
    'degC',
    'mCel',
    'kmin',
    'V//A',
    'V/',
    'Cel/s',
    'm0',
    '2',
    'V A',
    'mdB',
    '{',
    'm-',
    'x'.repeat(99),
  ])('%j is none', (symbol) => expect(parseUnit(symbol)).toBeNull());

  test('never throws', () => {
    fc.assert(fc.property(fc.string(), (text) => void parseUnit(text)));
  });
});

describe('composition', () => {
  test('names what it makes', () => {
    expect(productUnit(unit('V'), unit('A'))?.symbol).toBe('W');
    expect(productUnit(unit('V'), unit('mA'))?.symbol).toBe('mW');
    expect(quotientUnit(unit('V'), unit('A'))?.symbol).toBe('Ohm');
    expect(quotientUnit(unit('W'), unit('V'))?.symbol).toBe('A');
    expect(quotientUnit(unit('V'), unit('V'))?.symbol).toBe('1');
    expect(productUnit(unit('A'), unit('h'))?.symbol).toBe('Ah');
    expect(productUnit(unit('K'), unit('V'))?.symbol).toBe('m2.kg.s-3.A-1.K');
  });

  test('temperatures with a zero of their own multiply to nothing, but differ in kelvins', () => {
    expect(productUnit(unit('°C'), unit('V'))).toBeNull();
    expect(quotientUnit(unit('V'), unit('Cel'))).toBeNull();
    expect(differenceUnit(unit('°C')).symbol).toBe('K');
    expect(sameUnit(unit('°C'), unit('K'))).toBe(false);
    expect(sameInterval(unit('°C'), unit('K'))).toBe(true);
    expect(sameInterval(unit('mK'), unit('K'))).toBe(false);
  });
});
