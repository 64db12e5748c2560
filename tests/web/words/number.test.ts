// @vitest-environment node
import { describe, expect, it } from 'vitest';
import {
  bytesText,
  confidenceText,
  countText,
  ebN0Text,
  numberText,
  rawText,
  valueText,
} from '../../../web/words/number.ts';

const N = '\u202f';

describe('numbers in print', () => {
  it('keeps the decimals of the definition', () => {
    expect(numberText(7.9, 2)).toBe('7.90');
    expect(numberText(494.4, 0)).toBe('494');
  });

  it('has a true minus in front of raw values and levels', () => {
    expect(rawText(-130.25)).toBe('\u2212130.25');
    expect(ebN0Text(-3.14)).toBe(`Eb/N0\u00a0\u22123.1${N}dB`);
  });

  it('shows four significant digits where the definition says nothing', () => {
    expect(numberText(7.921456)).toBe('7.921');
    expect(numberText(0.1 + 0.2)).toBe('0.3');
    expect(numberText(0.000123456)).toBe('0.0001235');
  });

  it('never rounds a counter', () => {
    expect(numberText(54_027)).toBe('54027');
    expect(numberText(379_380)).toBe('379380');
  });

  it('has a true minus, and none before zero', () => {
    expect(numberText(-13, 1)).toBe('\u221213.0');
    expect(numberText(-0.001, 2)).toBe('0.00');
  });

  it('says when there is no value', () => {
    expect(valueText(null, 'V')).toBe('no value');
    expect(numberText(Number.NaN)).toBe('no value');
  });

  it('writes units as people print them', () => {
    expect(valueText(8.1, 'Cel', 1)).toBe('8.1\u202f°C');
    expect(valueText(5, '1')).toBe('5');
    expect(valueText('SAFE', null)).toBe('SAFE');
  });
});

describe('a probability', () => {
  it('is never rounded up to certainty', () => {
    expect(confidenceText(0.99999)).toBe(`over 99.9${N}%`);
    expect(confidenceText(0.9989)).toBe(`99.8${N}%`);
    expect(confidenceText(0.619)).toBe(`61${N}%`);
    expect(confidenceText(1)).toBe(`100${N}%`);
    expect(confidenceText(0.0003)).toBe(`under 1${N}%`);
  });
});

describe('counts and sizes', () => {
  it('knows one from many and none', () => {
    expect(countText(0, 'burst')).toBe('no bursts');
    expect(countText(1, 'burst')).toBe('1 burst');
    expect(countText(12_345, 'burst')).toBe('12\u202f345 bursts');
  });

  it('says sizes as file managers do', () => {
    expect(bytesText(999)).toBe('999 B');
    expect(bytesText(960_044)).toBe('960 kB');
    expect(bytesText(2_147_483_648)).toBe('2.15 GB');
  });
});
