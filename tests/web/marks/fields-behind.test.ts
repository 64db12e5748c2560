// @vitest-environment node
import { describe, expect, it } from 'vitest';
import type { Mission, Parameter } from '../../../decoders/mission/types.ts';
import { fieldsBehind } from '../../../web/marks/fields-behind.ts';

const parameter = (id: string, source: Parameter['source']): Parameter => ({
  id,
  name: id,
  source,
  calibrations: [],
  limits: [],
  persistence: 1,
});

const mission = {
  parameters: [
    parameter('volts', { source: 'field', ref: { field: 'battery' }, signed: false }),
    parameter('amps', { source: 'field', ref: { frame: 'power', field: 'current' }, signed: false }),
    parameter('watts', { source: 'derive', operation: 'product', of: ['volts', 'amps'] }),
    parameter('clock', {
      source: 'join',
      refs: [{ field: 'w0' }, { field: 'w1' }],
      order: 'big',
      as: 'integer',
      signed: false,
      where: { channel: 3 },
    }),
    parameter('round', { source: 'derive', operation: 'sum', of: ['round', 'volts'] }),
  ],
} as unknown as Mission;

describe('the fields behind a parameter', () => {
  it.each([
    ['volts', ['battery']],
    ['watts', ['battery', 'current']],
    ['clock', ['w0', 'w1', 'channel']],
    ['round', ['battery']],
    ['nothing', []],
  ])('%s comes from %j', (id, fields) => {
    expect([...fieldsBehind(mission, id)]).toEqual(fields);
  });
});
