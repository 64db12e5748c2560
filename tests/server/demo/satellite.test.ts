import { describe, expect, test } from 'vitest';
import { fly, type SatelliteState } from '../../../server/demo/satellite.ts';
import { demoOrbit } from '../../../server/demo/scene.ts';

const nowMs = Date.parse('2026-11-25T10:00:00Z');
const days = 12;
const never = days * 86_400 + 1;

function flight(story: { payloadStuckFromSeconds: number; upsetAtSeconds: number }): SatelliteState[] {
  const fromMs = nowMs - days * 86_400_000;
  const states: SatelliteState[] = [];
  for (const state of fly(demoOrbit(nowMs), fromMs, story, 1)) {
    if (state.timeMs > nowMs) break;
    states.push(state);
  }
  return states;
}

const quiet = flight({ payloadStuckFromSeconds: never, upsetAtSeconds: never });
/** Without the first day, which settles. */
const settled = quiet.slice(8640);

describe('fly', () => {
  test('is the same flight each time', () => {
    expect(flight({ payloadStuckFromSeconds: never, upsetAtSeconds: never }).at(-1)).toEqual(quiet.at(-1));
  });

  test('stays within what such a satellite can be', () => {
    const range = (value: (state: SatelliteState) => number) => {
      const values = settled.map(value);
      return { least: Math.min(...values), most: Math.max(...values) };
    };
    const volts = range(({ batteryVolts }) => batteryVolts);
    expect(volts.least).toBeGreaterThan(7);
    expect(volts.most).toBeLessThan(8.3);
    expect(range(({ batteryAmps }) => Math.abs(batteryAmps)).most).toBeLessThan(1);
    const battery = range(({ batteryC }) => batteryC);
    expect(battery.least).toBeGreaterThan(0);
    expect(battery.most).toBeLessThan(45);
    const panel = range(({ panelC }) => panelC);
    expect(panel.least).toBeGreaterThan(-40);
    expect(panel.most).toBeLessThan(75);
    expect(range(({ restarts }) => restarts)).toEqual({ least: quiet[0].restarts, most: quiet[0].restarts });
  });

  test('gets no current from its panels in the dark, and then lives on the battery', () => {
    const dark = settled.filter(({ lit }) => !lit);
    expect(dark.length).toBeGreaterThan(1000);
    expect(dark.filter(({ panelAmps }) => Math.max(...panelAmps) > 0)).toEqual([]);
    expect(dark.filter(({ batteryAmps }) => batteryAmps >= 0)).toEqual([]);
  });

  test('never lights opposite panels at once', () => {
    expect(settled.filter(({ panelAmps }) => Math.min(panelAmps[0], panelAmps[2]) > 0)).toEqual([]);
  });

  test('cools in eclipse', () => {
    let fallen = 0;
    let eclipses = 0;
    let entered: SatelliteState | null = null;
    for (const [before, after] of settled.slice(1).map((state, i) => [settled[i], state] as const)) {
      if (before.lit && !after.lit) entered = after;
      if (!before.lit && after.lit && entered !== null) {
        eclipses++;
        if (before.panelC < entered.panelC) fallen++;
      }
    }
    expect(eclipses).toBeGreaterThan(100);
    expect(fallen).toBe(eclipses);
  });

  test('a stuck payload empties the battery until safe mode, which lasts until it is full again', () => {
    const states = flight({ payloadStuckFromSeconds: 3 * 86_400, upsetAtSeconds: never });
    const safe = states.filter(({ mode }) => mode === 'SAFE');
    expect(Math.min(...states.map(({ batteryVolts }) => batteryVolts))).toBeLessThan(7);
    expect(safe[0].restarts).toBe(quiet[0].restarts + 1);
    expect(safe[0].uptimeSeconds).toBe(0);
    expect(safe.at(-1)?.batteryVolts).toBeGreaterThan(7.8);
    expect(states.at(-1)?.mode).not.toBe('SAFE');
  });

  test('an upset restarts the computer and nothing else', () => {
    const states = flight({ payloadStuckFromSeconds: never, upsetAtSeconds: 5 * 86_400 });
    const restarted = states.find(({ restarts }) => restarts > quiet[0].restarts);
    expect(restarted?.timeMs).toBe(states[0].timeMs + 5 * 86_400_000);
    expect(restarted?.uptimeSeconds).toBe(0);
    expect(states.at(-1)?.restarts).toBe(quiet[0].restarts + 1);
  });
});
