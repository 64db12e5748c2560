import { expect, it } from 'vitest';
import { advice } from '../../../../web/pages/listen/level-meter.tsx';

it.each([
  [0.2, 0.9, ''],
  [0.2, 1, 'too loud'],
  [0, 0, 'silent'],
  [0.001, 0.01, 'very faint'],
])('says of a level of %d with peaks of %d: %s', (rms, peak, said) => {
  if (said === '') expect(advice(rms, peak)).toBe('');
  else expect(advice(rms, peak)).toContain(said);
});
