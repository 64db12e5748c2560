import { countText } from './number.ts';

/** How often noise alone would be taken for a beacon, rounded towards more often. */
export function falseAlarmText(probability: number): string {
  const oneOf = Math.max(1, 1 / probability);
  const digit = 10 ** Math.floor(Math.log10(oneOf) + 1e-9);
  const recordings = countText(Math.floor(oneOf / digit + 1e-9) * digit, 'recording');
  return `noise alone shows as much in at most one of ${recordings} as long as this`;
}
