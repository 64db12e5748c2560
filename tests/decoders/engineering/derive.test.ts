import { expect, test } from 'vitest';
import { derive } from '../../../decoders/engineering/derive.ts';

test.each([
  ['sum', [1, 2, 3.5], 6.5],
  ['difference', [7, 2], 5],
  ['product', [7.5, -0.2, 2], -3],
  ['quotient', [1, 4], 0.25],
  ['mean', [1, 2, 6], 3],
  ['least', [4, -1, 2], -1],
  ['greatest', [4, -1, 2], 4],
] as const)('%s of %j', (operation, operands, value) => expect(derive({ operation }, operands)).toBeCloseTo(value, 12));

test('scale', () => expect(derive({ operation: 'scale', factor: 0.5 }, [8])).toBe(4));

test('dividing by zero gives no value', () => {
  expect(derive({ operation: 'quotient' }, [1, 0])).toBeNull();
  expect(derive({ operation: 'quotient' }, [0, 0])).toBeNull();
  expect(derive({ operation: 'product' }, [1e200, 1e200])).toBeNull();
});
