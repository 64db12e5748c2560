import { InvalidArgumentError } from 'commander';

/** @throws InvalidArgumentError for what is no number. */
export function parseNumber(text: string): number {
  const value = text.trim() === '' ? Number.NaN : Number(text);
  if (!Number.isFinite(value)) throw new InvalidArgumentError('A number is expected, with a point for decimals.');
  return value;
}

/** @throws InvalidArgumentError for what is no number above zero. */
export function parsePositive(text: string): number {
  const value = parseNumber(text);
  if (value <= 0) throw new InvalidArgumentError('A number above zero is expected.');
  return value;
}

/** @throws InvalidArgumentError for what is no whole number from 1 up. */
export function parseCount(text: string): number {
  const value = parseNumber(text);
  if (!Number.isSafeInteger(value) || value < 1)
    throw new InvalidArgumentError('A whole number from 1 up is expected.');
  return value;
}

/** @throws InvalidArgumentError for what is no TCP port. */
export function parsePort(text: string): number {
  const value = parseNumber(text);
  if (!Number.isInteger(value) || value < 0 || value > 65_535) {
    throw new InvalidArgumentError('A port is a whole number from 0 to 65535.');
  }
  return value;
}
