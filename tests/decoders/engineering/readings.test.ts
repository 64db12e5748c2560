import { describe, expect, test } from 'vitest';
import { type FrameForReadings, type ReadingOptions, readingsOf } from '../../../decoders/engineering/readings.ts';
import type { RawValue, Trust } from '../../../decoders/frames/types.ts';
import { definition, type Json, missionOf, withFrames, withLayout } from '../mission/definition.ts';

type Given = Record<string, RawValue | { raw: RawValue; confidence: number; text?: string }>;

function frameOf(fields: Given, changes: Partial<FrameForReadings> = {}, frame = 'one'): FrameForReadings {
  const decoded = Object.entries(fields).map(([id, given]) => {
    const { raw, confidence, text } =
      typeof given === 'object' && given !== null ? { text: '?', ...given } : { raw: given, confidence: 1, text: '?' };
    return [id, { raw, confidence, text }];
  });
  return { frame, fields: Object.fromEntries(decoded), trust: 'confirmed', confidence: 1, ...changes };
}

const NOW: ReadingOptions = { receivedAt: '2026-05-01T12:00:00Z' };

function valuesOf(json: Json, frame: FrameForReadings, options = NOW): Record<string, unknown> {
  return Object.fromEntries(
    readingsOf(missionOf(json), frame, options).map((reading) => [reading.parameter, reading.value]),
  );
}

describe('values', () => {
  const power = { count: 42, battery: 7921, current: -130, bus: 5.02, status: 0x1f, mode: 'NOM' };

  test('of the whole example: calibrated, derived, states and texts', () => {
    const readings = readingsOf(missionOf(definition()), frameOf(power, {}, 'power'), NOW);
    expect(readings.map(({ parameter, value, unit, limit }) => [parameter, value, unit, limit])).toEqual([
      ['battery_voltage', expect.closeTo(7.921, 9), 'V', 'normal'],
      ['battery_current', expect.closeTo(-0.13, 9), 'A', null],
      ['battery_power', expect.closeTo(-1.02973, 9), 'W', null],
      ['heater', 'on', null, null],
      ['mode', 'NOM', null, null],
    ]);
    expect(
      readings.every(({ trust, confidence, notes }) => trust === 'confirmed' && confidence === 1 && notes.length === 0),
    ).toBe(true);
  });

  test('no value is null, and says whether it was sent so or not readable', () => {
    const frame = frameOf(
      { ...power, battery: { raw: null, confidence: 1, text: '////' }, status: { raw: null, confidence: 0, text: '' } },
      {},
      'power',
    );
    const readings = readingsOf(missionOf(definition()), frame, NOW);
    const notes = Object.fromEntries(readings.map(({ parameter, notes }) => [parameter, notes]));
    expect(readings.filter(({ value }) => value === null).map(({ parameter }) => parameter)).toEqual([
      'battery_voltage',
      'battery_power',
      'heater',
    ]);
    expect(notes.battery_voltage).toEqual(['battery was sent as "no value"']);
    expect(notes.battery_power).toEqual(['battery was sent as "no value"']);
    expect(notes.heater).toEqual(['status not readable']);
    expect(readings.every(({ value, limit }) => value !== null || limit === null)).toBe(true);
  });

  test('fields that the frame does not hold give no readings', () => {
    expect(valuesOf(definition(), frameOf({ count: 1, mode: 'SAFE' }, {}, 'power'))).toEqual({ mode: 'SAFE' });
    expect(valuesOf(definition(), frameOf(power, {}, 'thermal'))).toEqual({});
  });

  test('where picks the parameter of a channel', () => {
    const json = withLayout(
      [{ field: 'channel', digits: 1 }, { text: ' ' }, { field: 'w', hex: 2 }],
      [1, 2].map((channel) => ({ id: `t${channel}`, from: { join: ['w'], where: { channel } } })),
    );
    expect(valuesOf(json, frameOf({ channel: 2, w: 7 }))).toEqual({ t2: 7 });
    expect(valuesOf(json, frameOf({ channel: { raw: null, confidence: 0, text: '' }, w: 7 }))).toEqual({});
  });

  test('a state without a word keeps its number', () => {
    const json = withLayout([{ field: 'x', digits: 1 }], [{ id: 'p', from: 'x', states: { '0': 'off', '01': 'on' } }]);
    expect([0, 1, 2].map((x) => valuesOf(json, frameOf({ x })).p)).toEqual(['off', 'on', 2]);
  });

  test('dividing by zero gives no value', () => {
    const json = withLayout(
      [{ field: 'x', digits: 1 }],
      [
        { id: 'a', from: 'x' },
        { id: 'q', derive: { quotient: ['a', 'a'] } },
      ],
    );
    const [, quotient] = readingsOf(missionOf(json), frameOf({ x: 0 }), NOW);
    expect(quotient).toMatchObject({ value: null, notes: ['the quotient has no value here'] });
  });
});

describe('trust and confidence', () => {
  const json = withLayout(
    [{ field: 'x', digits: 1 }, { text: ' ' }, { field: 'y', digits: 1 }],
    [
      { id: 'x', from: 'x' },
      { id: 'y', from: 'y' },
      { id: 'both', derive: { sum: ['x', 'y', 'x'] } },
    ],
  );
  const read = (x: number, y: number, trust: Trust, confidence: number) => {
    const frame = frameOf({ x: { raw: 1, confidence: x }, y: { raw: 2, confidence: y } }, { trust, confidence });
    return Object.fromEntries(
      readingsOf(missionOf(json), frame, NOW).map((each) => [each.parameter, [each.trust, each.confidence]]),
    );
  };

  test('in a doubtful frame each reading stands on its own fields, derived ones on all of theirs', () => {
    expect(read(0.9995, 0.9, 'doubtful', 0.5)).toEqual({
      x: ['probable', 0.9995],
      y: ['doubtful', 0.9],
      both: ['doubtful', expect.closeTo(0.89955, 12)],
    });
    expect(read(0.9, 0.9, 'doubtful', 0.95).both).toEqual(['doubtful', expect.closeTo(0.81, 12)]);
    expect(read(0.9995, 0.9993, 'doubtful', 0.5).both).toEqual(['doubtful', expect.closeTo(0.99880035, 9)]);
  });

  test('it is never confirmed there, however sure', () => {
    expect(read(1, 1, 'doubtful', 0.5)).toEqual({ x: ['probable', 1], y: ['probable', 1], both: ['probable', 1] });
  });

  test('in an accepted frame a reading is no less sure than the frame', () => {
    expect(read(0.9999, 0.999, 'confirmed', 0.9998)).toEqual({
      x: ['confirmed', 0.9999],
      y: ['confirmed', 0.9998],
      both: ['confirmed', 0.9998],
    });
    expect(read(0.99, 0.99, 'probable', 0.9992).both).toEqual(['probable', 0.9992]);
  });
});

describe('limits', () => {
  const json = withLayout(
    [{ field: 't', digits: 2, sign: 'minus' }, { text: ' ' }, { field: 'i', digits: 3, sign: 'minus', missing: '///' }],
    [
      { id: 'i', from: 'i' },
      {
        id: 't',
        from: 't',
        limits: [
          { hard: [0, 45], when: { parameter: 'i', above: 0 } },
          { hard: [-20, 60] },
          { hard: [-10, 50], validFrom: '2026-06-01' },
        ],
      },
    ],
  );
  const limit = (t: number, i: RawValue, options = NOW, changes: Partial<FrameForReadings> = {}) => {
    const reading = readingsOf(missionOf(json), frameOf({ t, i }, changes), options).find(
      ({ parameter }) => parameter === 't',
    );
    return [reading?.limit, ...(reading?.notes ?? [])];
  };

  test('follow the direction of the current', () => {
    expect(limit(50, 100)).toEqual(['hard']);
    expect(limit(50, -100)).toEqual(['normal']);
    expect(limit(-20, 0)).toEqual(['normal']);
  });

  test('are the widest when it is unknown, and say so', () => {
    expect(limit(50, null)).toEqual(['normal', 'i not known: the widest limits applied']);
    expect(limit(61, null)[0]).toBe('hard');
  });

  test('are the widest when it is doubtful', () => {
    const doubtful = frameOf({ t: 50, i: { raw: 100, confidence: 0.9 } }, { trust: 'doubtful', confidence: 0.9 });
    const reading = readingsOf(missionOf(json), doubtful, NOW)[1];
    expect(reading).toMatchObject({
      trust: 'probable',
      limit: 'normal',
      notes: ['i not known: the widest limits applied'],
    });
  });

  test('of a new validity hold from its start', () => {
    expect(limit(55, -100, { receivedAt: '2026-06-01T00:00:00Z' })).toEqual(['hard']);
    expect(limit(55, -100, { receivedAt: null })).toEqual(['hard', 'reception time unknown: the newest limits taken']);
  });
});

describe('across frames', () => {
  const json = withFrames(
    [
      { id: 'power', layout: [{ text: 'Q0DUN P ' }, { field: 'i', digits: 3, sign: 'minus' }] },
      { id: 'thermal', layout: [{ text: 'Q0DUN T ' }, { field: 't', digits: 2 }] },
    ],
    [
      { id: 'i', from: 'i' },
      {
        id: 't',
        from: 't',
        limits: [{ hard: [0, 45], when: { parameter: 'i', above: 0, withinSeconds: 90 } }, { hard: [-20, 60] }],
      },
      { id: 'both', derive: { sum: ['i', 't'], withinSeconds: 60 } },
    ],
  );
  const read = (receivedAt: string | null, earlierAt = '2026-05-01T11:59:00Z') => {
    const earlier = (id: string) => (id === 'i' ? { value: 100, receivedAt: earlierAt } : null);
    return readingsOf(missionOf(json), frameOf({ t: 50 }, {}, 'thermal'), { receivedAt, earlier }).map(
      ({ parameter, value, limit, notes }) => [parameter, value, limit, notes],
    );
  };

  test('the last reading of another frame counts within its seconds', () => {
    expect(read('2026-05-01T12:00:00Z')).toEqual([
      ['t', 50, 'hard', []],
      ['both', 150, null, ['i as received at 2026-05-01T11:59:00Z']],
    ]);
  });

  test('and no longer', () => {
    expect(read('2026-05-01T12:00:15Z')).toEqual([['t', 50, 'hard', []]]);
    expect(read('2026-05-01T12:01:00Z')).toEqual([['t', 50, 'normal', ['i not known: the widest limits applied']]]);
    expect(read(null)).toEqual([['t', 50, 'normal', ['i not known: the widest limits applied']]]);
  });

  test('nothing is derived from earlier readings alone', () => {
    const earlier = () => ({ value: 1, receivedAt: '2026-05-01T12:00:00Z' });
    expect(readingsOf(missionOf(json), frameOf({}, {}, 'thermal'), { ...NOW, earlier })).toEqual([]);
  });
});

describe('calibrations', () => {
  test('by validity', () => {
    const calibration = [
      { steps: { ratio: 2 } },
      { steps: { ratio: 3 }, validFrom: '2026-04-01', validUntil: '2026-06-01' },
    ];
    const json = withLayout([{ field: 'x', digits: 1 }], [{ id: 'p', from: 'x', calibration }]);
    const at = (receivedAt: string | null) => readingsOf(missionOf(json), frameOf({ x: 2 }), { receivedAt })[0];
    expect(at('2026-03-31T23:59:59Z').value).toBe(4);
    expect(at('2026-04-01T00:00:00Z').value).toBe(6);
    expect(at('2026-06-01T00:00:00Z').value).toBe(4);
    expect(at(null)).toMatchObject({ value: 6, notes: ['reception time unknown: the newest calibration taken'] });
  });

  test('a choice rests on what it was chosen by', () => {
    const choose = [{ when: { parameter: 'range', equals: 1 }, steps: { ratio: 10 } }, { steps: [] }];
    const json = withLayout(
      [{ field: 'x', digits: 1 }, { text: ' ' }, { field: 'r', digits: 1, missing: '/' }],
      [
        { id: 'range', from: 'r' },
        { id: 'p', from: 'x', calibration: { choose } },
      ],
    );
    const read = (r: RawValue, confidence: number) =>
      readingsOf(
        missionOf(json),
        frameOf({ x: 2, r: { raw: r, confidence } }, { trust: 'doubtful', confidence: 0 }),
        NOW,
      )[1];
    expect(read(1, 1)).toMatchObject({ value: 20, trust: 'probable' });
    expect(read(0, 0.9)).toMatchObject({ value: 2, trust: 'doubtful', confidence: 0.9 });
    expect(read(null, 1)).toMatchObject({
      value: null,
      notes: ['range not known: no calibration chosen', 'outside the calibration'],
    });
  });
});
