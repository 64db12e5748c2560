import { describe, expect, it } from 'vitest';
import { A_LAW, MU_LAW } from '../../../decoders/audio/g711.ts';
import reference from '../../reference/audio.json';

describe('G.711 tables (ITU-T G.711, tests/reference/audio.json)', () => {
  it.each(reference.g711_decode)('decodes $code', ({ code, mu_law, a_law }) => {
    expect(MU_LAW[Number(code)] * 32768).toBe(mu_law);
    expect(A_LAW[Number(code)] * 32768).toBe(a_law);
  });

  it('has the published sums over all codes', () => {
    const sum = (table: Float32Array) => table.reduce((total, x) => total + 32768 * x, 0);
    const absolute = (table: Float32Array) => table.reduce((total, x) => total + Math.abs(32768 * x), 0);
    expect([sum(MU_LAW), sum(A_LAW)]).toEqual([0, 0]);
    expect([absolute(MU_LAW), absolute(A_LAW)]).toEqual([1532928, 1564672]);
  });
});
