import { describe, expect, test } from 'vitest';
import { betaDeg, lookAt, positionKm } from '../../../server/demo/orbit.ts';
import { DEMO_STATIONS, demoOrbit, lastFinePass } from '../../../server/demo/scene.ts';

const starts = ['2026-11-25T10:00:00Z', '2027-03-21T05:13:00Z', '2027-06-21T12:00:00Z', '2027-09-22T19:45:00Z'];

describe('demoOrbit', () => {
  test.each(starts)('tells the same story when first started at %s', (start) => {
    const nowMs = Date.parse(start);
    const orbit = demoOrbit(nowMs);
    // At 500 km a satellite misses the shadow above 68.02 degrees (asin(Re / (Re + h))).
    expect(Math.abs(betaDeg(orbit, nowMs))).toBeGreaterThan(68.02);
    expect(Math.abs(betaDeg(orbit, nowMs - 14 * 86_400_000))).toBeLessThan(40);
  });

  test.each(starts)('brings a fine pass shortly before %s', (start) => {
    const nowMs = Date.parse(start);
    const orbit = demoOrbit(nowMs);
    const pass = lastFinePass(orbit, nowMs);
    expect(pass).not.toBeNull();
    if (pass === null) return;
    expect(pass.agoMs).toBeLessThan(3 * 3_600_000);
    const timeMs = nowMs - pass.agoMs;
    expect(lookAt(positionKm(orbit, timeMs), pass.station, timeMs).elevationDeg).toBeGreaterThan(35);
  });
});

describe('DEMO_STATIONS', () => {
  test('bear call signs that are never allocated', () => {
    // ITU Radio Regulations, appendix 42: no series begins with Q.
    for (const { callSign } of DEMO_STATIONS) expect(callSign).toMatch(/^Q[0-9][A-Z]+$/);
  });
});
