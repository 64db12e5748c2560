import { expect, test } from 'vitest';
import { type Side, sideOf } from '../../../decoders/engineering/limits.ts';
import { observe, type Persistence, UNCHECKED } from '../../../decoders/engineering/persistence.ts';
// Worked status sequences after the repetition number of ECSS-E-ST-70-41C clause 6.12, see the file.
import reference from '../../reference/limits.json' with { type: 'json' };

test.each(reference.limit_check_vectors)(
  '$repetition in a row: $values',
  ({ values, low, high, repetition, status }) => {
    const names = { within: 'within', below: 'below_low', above: 'above_high' } as const;
    let state: Persistence<Side> = UNCHECKED;
    const seen = values.map((value) => {
      state = observe(state, value === null ? null : sideOf(value, [low, high]), repetition);
      return state.confirmed === null ? 'unchecked' : names[state.confirmed];
    });
    expect(seen).toEqual(status);
  },
);
