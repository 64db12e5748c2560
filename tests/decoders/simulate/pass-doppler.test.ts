import { expect, test } from 'vitest';
import { passDoppler } from '../../../decoders/simulate/pass-doppler.ts';
import reference from '../../reference/doppler.json';

// Closed forms for circular orbits over an Earth that does not turn: tests/reference/doppler.json names their sources.
test.each(reference.doppler_by_max_elevation)('at $max_el_deg degrees: figures of the pass', (row) => {
  const pass = { heightKm: row.h_km, maxElevationDegrees: row.max_el_deg, closestSeconds: 100 };
  const { hzAt, turnsAt } = passDoppler(pass, 1e6 * row.f_mhz);
  expect(hzAt(100)).toBeCloseTo(0, 6);
  expect(hzAt(99.5) - hzAt(100.5)).toBeCloseTo(row.doppler_rate_tca_hz_s, 1);
  expect(hzAt(100 - row.pass_s / 2)).toBeCloseTo(row.horizon_doppler_hz, 0);
  expect(hzAt(100 + row.pass_s / 2)).toBeCloseTo(-row.horizon_doppler_hz, 0);
  expect(turnsAt(30.5) - turnsAt(29.5)).toBeCloseTo(hzAt(30), 1);
});

test.each(reference.doppler)('$f_mhz MHz, $h_km km: the fastest drift', ({ f_mhz, h_km, max_doppler_rate_hz_s }) => {
  const pass = { heightKm: h_km, maxElevationDegrees: 90, closestSeconds: 0 };
  const { hzAt } = passDoppler(pass, 1e6 * f_mhz);
  expect((hzAt(-0.05) - hzAt(0.05)) / 0.1 / max_doppler_rate_hz_s).toBeCloseTo(1, 4);
});

test('a pass that cannot be is refused', () => {
  const bad = expect.objectContaining({ code: 'bad-pass' });
  expect(() => passDoppler({ heightKm: 10, maxElevationDegrees: 90, closestSeconds: 0 }, 1e8)).toThrow(bad);
  expect(() => passDoppler({ heightKm: 500, maxElevationDegrees: 0, closestSeconds: 0 }, 1e8)).toThrow(bad);
});
