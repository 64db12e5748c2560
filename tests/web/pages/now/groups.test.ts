// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { byGroup } from '../../../../web/pages/now/groups.ts';
import { parameter } from '../../support/scene.ts';

describe('groups of readings', () => {
  it('put battery, temperature and solar first whatever the definition’s order, and what has no group last', () => {
    const groups = [null, 'computer', 'solar', 'battery', 'temperature'];
    const { places, others } = byGroup(groups.map((group, i) => parameter({ group, parameter: `p${i}` })));
    expect(places.map(({ title }) => title)).toEqual(['Battery', 'Temperature', 'Solar current']);
    expect(others.map(({ title }) => title)).toEqual(['Computer', 'Other readings']);
  });

  it('leave out those that a mission does not have', () => {
    expect(byGroup([parameter()])).toMatchObject({ places: [{ id: 'battery' }], others: [] });
  });
});
