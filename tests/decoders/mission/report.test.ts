import { describe, expect, test } from 'vitest';
import { readMission } from '../../../decoders/mission/read.ts';
import { describeMission } from '../../../decoders/mission/report.ts';
import { definition, type Json, missionOf, withFrames } from './definition.ts';

describe('describeMission', () => {
  test("a frame's own example, its characters, codes and seconds", () => {
    const { frames } = describeMission(missionOf(definition()));
    expect(frames).toEqual([
      {
        id: 'power',
        sample: 'Q0DUN P 00042 7921 -0130 05.02 1F NOM 5A29',
        characters: 42,
        // LTRS Q FIGS 0 LTRS DUN SP P SP FIGS 00042 SP 7921 SP -0130 SP 05.02 SP 1 LTRS F SP NOM SP FIGS 5 LTRS A FIGS 29
        codes: 42 + 8,
        seconds: (50 * 7.5) / 45.45,
        repeats: 1,
      },
    ]);
  });

  test('without an example a line with values from the middle, every part sent, and no speed, no seconds', () => {
    const layout: Json[] = [
      { text: 'Q0DUN ' },
      { field: 'a', digits: 2 },
      { optional: [{ text: ' T' }, { field: 't', digits: 1, decimals: 1, missing: ['4.9', '9.9'] }] },
      { text: ' ' },
      { field: 'm', oneOf: ['OFF', 'ON'], missing: 'OFF' },
    ];
    const mission = missionOf(withFrames([{ id: 'one', layout, repeats: 3 }], [], { beacon: { modulation: 'fsk' } }));
    expect(describeMission(mission).frames).toMatchObject([{ sample: 'Q0DUN 49 T5.0 ON', seconds: null, repeats: 3 }]);
  });

  test('each parameter with its frames, range and resolution', () => {
    const { parameters } = describeMission(missionOf(definition()));
    expect(parameters.map(({ id, frames }) => [id, frames])).toEqual(
      ['battery_voltage', 'battery_current', 'battery_power', 'heater', 'mode'].map((id) => [id, ['power']]),
    );
    const [voltage, current, power, heater, mode] = parameters;
    expect(voltage.unit).toBe('V');
    expect(voltage.range).toMatchObject({ low: 0, resolution: { finest: 0.001, coarsest: 0.001 } });
    expect(voltage.range?.high).toBeCloseTo(9.999, 12);
    expect(current.range?.low).toBeCloseTo(-9.999, 12);
    expect(power.range?.high).toBeCloseTo(9.999 ** 2, 9);
    expect(heater.range).toMatchObject({ low: 0, high: 1 });
    expect(mode.range).toBeNull();
  });

  test('limits out of reach are the same as those that the door warns of', () => {
    const json = definition();
    (json.parameters as Json[])[0].limits = [
      { soft: [7, 12], when: { parameter: 'mode', equals: 'SAFE' } },
      { soft: [-1, null] },
    ];
    const { mission, faults } = readMission(json);
    if (mission === null) throw new Error('no mission');
    const [voltage] = describeMission(mission).parameters;
    expect(voltage.limitsOutOfReach).toMatchObject([{ kind: 'soft' }, { kind: 'soft' }]);
    expect(faults.map(({ path }) => path)).toEqual(['parameters[0].limits[0].soft', 'parameters[0].limits[1].soft']);
    expect(faults[0].expected).toBe('bounds within 0 to 9.999, which is all that battery_voltage can show');
  });
});
