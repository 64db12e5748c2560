/** What came from outside as an object whose members are still unknown; an empty one where it is none. */
export function objectOf(value: unknown): Record<string, unknown> {
  return typeof value === 'object' && value !== null ? (value as Record<string, unknown>) : {};
}
