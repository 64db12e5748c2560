/**
 * A computed value without what binary arithmetic leaves in its last digits, so that 8300 * 0.001 is the 8.3 that a limit says.
 * Fourteen significant digits stay; whole numbers stay as they are.
 */
export function withoutDust(value: number): number {
  return Number.isInteger(value) ? value : Number(value.toPrecision(14));
}
