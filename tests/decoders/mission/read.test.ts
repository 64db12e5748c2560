import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { parseMissionText, readMission } from '../../../decoders/mission/read.ts';
import { definition, type Json, missionOf, withFrames, withLayout } from './definition.ts';

const faultsOf = (json: unknown) => readMission(json).faults;
const codesOf = (json: unknown) => faultsOf(json).map(({ code, path }) => `${code} at ${path}`);

describe('the accept rule', () => {
  const ruleOf = (accept: Json) => missionOf(definition({ accept })).accept;

  test('is as usual where a mission does not say', () => {
    expect(missionOf(definition()).accept).toEqual({ wrongBelow: 1e-4, foreignBelow: 2 });
    expect(ruleOf({ wrongBelow: 1e-6 })).toEqual({ wrongBelow: 1e-6, foreignBelow: 2 });
  });

  test.each([
    [{ wrongBelow: 1e-3 }, 'accept.wrongBelow'],
    [{ wrongBelow: 0 }, 'accept.wrongBelow'],
    [{ foreignBelow: 5 }, 'accept.foreignBelow'],
  ])('cannot be made unsafe: %j', (accept, path) => {
    expect(faultsOf(definition({ accept })).map((fault) => fault.path)).toEqual([path]);
  });
});

describe('a sound definition', () => {
  test('passes without a fault, with every default filled in', () => {
    const mission = missionOf(definition());
    expect(mission).toMatchObject({ id: 'dunlin-1', private: false, sequence: [] });
    expect(mission.beacon).toEqual({
      modulation: 'afsk',
      baud: 45.45,
      markHz: 1275,
      spaceHz: 1445,
      shiftHz: 170,
      stopElements: 1.5,
      alphabet: 'ita2',
      also: [],
      shifts: {},
    });
    expect(mission.frames[0]).toMatchObject({ id: 'power', repeats: 1 });
    expect(mission.frames[0].layout[3]).toEqual({
      part: 'field',
      field: 'battery',
      form: { kind: 'digits', min: 1, max: 4, decimals: 0 },
      missing: [],
    });
    expect(mission.frames[0].layout.at(-1)).toEqual({
      part: 'checksum',
      algorithm: 'crc-16/ibm-3740',
      form: { kind: 'hex', length: 4 },
      covers: 'text',
      byteOrder: 'big',
    });
    expect(mission.parameters[0]).toMatchObject({
      source: { source: 'field', ref: { field: 'battery' }, signed: false },
      calibrations: [{ value: [{ step: 'polynomial', coefficients: [0, 0.001] }] }],
      limits: [{ value: [{ soft: [7, 8.3], hard: [6.6, 8.45] }] }],
      persistence: 2,
    });
    expect(mission.parameters[3]).toMatchObject({
      name: 'heater',
      source: { bits: [3, 3] },
      calibrations: [],
      persistence: 1,
    });
  });

  test('$schema and notes may stand anywhere', () => {
    const json = definition();
    const everywhere = (value: unknown): unknown => {
      if (Array.isArray(value)) return value.map(everywhere);
      if (typeof value !== 'object' || value === null) return value;
      const entries = Object.entries(value).map(([key, each]) => [key, everywhere(each)]);
      return { ...Object.fromEntries(entries), notes: ['free', { text: 1 }], $schema: 'x' };
    };
    expect(faultsOf(everywhere(json))).toEqual([]);
  });

  test('is null as soon as there is a fault, but not for a warning', () => {
    expect(readMission(definition({ frames: [] })).mission).toBeNull();
    const warned = definition();
    (warned.parameters as Json[])[0].limits = { soft: [7, 12] };
    expect(readMission(warned).mission).not.toBeNull();
    expect(faultsOf(warned)).toMatchObject([{ code: 'limit-out-of-reach', severity: 'warning' }]);
  });
});

describe('the file as a whole', () => {
  test.each([null, [], 'x', 3, undefined, true])('%j is no definition', (json) => {
    expect(faultsOf(json)).toMatchObject([{ code: 'wrong-type', path: '', expected: 'an object { ... }' }]);
  });

  test('every key that is missing is named', () => {
    expect(codesOf({})).toEqual(
      ['fiveunit', 'id', 'name', 'callSign', 'beacon', 'frames'].map((key) => `missing-key at ${key}`),
    );
  });

  test('an unknown key is a fault that names the nearest', () => {
    const [fault] = faultsOf(definition({ parametres: [] }));
    expect(fault).toMatchObject({ code: 'unknown-key', path: 'parametres', found: 'key "parametres"' });
    expect(fault.expected).toMatch(/^did you mean "parameters"\?/);
  });

  test.each<[Json, string]>([
    [{ fiveunit: 2 }, 'unknown-version at fiveunit'],
    [{ id: 'Dunlin 1' }, 'wrong-text at id'],
    [{ name: 7 }, 'wrong-type at name'],
    [{ callSign: 'q0dun' }, 'wrong-text at callSign'],
    [{ callSign: 'DUNLIN' }, 'wrong-text at callSign'],
    [{ private: 'yes' }, 'wrong-type at private'],
    [{ launchedAt: 'soon' }, 'wrong-text at launchedAt'],
    [{ battery: { cellsInSeries: 0 } }, 'out-of-range at battery.cellsInSeries'],
    [{ battery: {} }, 'missing-key at battery.cellsInSeries'],
    [{ frames: {} }, 'wrong-type at frames'],
    [{ frames: [] }, 'wrong-length at frames'],
    [{ sequence: ['thermal'] }, 'unknown-frame at sequence[0]'],
  ])('%j: %s', (changes, expected) => expect(codesOf(definition(changes))).toEqual([expected]));

  test('syntax, duplicate keys and faults of the definition are all reported', () => {
    expect(parseMissionText('{"fiveunit": 1,').faults).toMatchObject([{ code: 'not-json', path: 'line 1, column 16' }]);
    const text = JSON.stringify(definition()).replace('"name":"Dunlin-1"', '"name":"Dunlin-1","name":"Dunlin"');
    const { mission, faults } = parseMissionText(text);
    expect(mission).toBeNull();
    expect(faults).toMatchObject([{ code: 'duplicate-key' }]);
    expect(parseMissionText(JSON.stringify(definition())).mission).not.toBeNull();
    expect(parseMissionText('null').faults).toMatchObject([{ code: 'wrong-type' }]);
  });
});

describe('beacon', () => {
  const beacon = (changes: Json) => definition({ beacon: { modulation: 'afsk', ...changes } });
  test.each<[Json, string[]]>([
    [{}, []],
    [{ modulation: 'psk' }, ['unknown-choice at beacon.modulation']],
    [{ markHz: 1275, spaceHz: 1275 }, ['same-tones at beacon.spaceHz']],
    [{ markHz: 1275 }, ['one-tone at beacon.markHz']],
    [{ markHz: 1275, spaceHz: 1445, shiftHz: 200 }, ['wrong-shift at beacon.shiftHz']],
    [{ markHz: 1445, spaceHz: 1275, shiftHz: 170 }, []],
    [{ stopElements: 1.4 }, ['unknown-choice at beacon.stopElements']],
    [{ alphabet: 'ascii' }, ['unknown-choice at beacon.alphabet']],
    [{ baud: -50 }, ['out-of-range at beacon.baud']],
    [{ intervalSeconds: 0 }, ['out-of-range at beacon.intervalSeconds']],
    [{ modulation: 'fsk', markHz: 1275, spaceHz: 1445 }, ['tones-of-fsk at beacon.markHz']],
    [{ modulation: 'fsk', shiftHz: 170, also: [{ baud: 50 }] }, []],
    [{ also: [{ bauds: 50 }] }, ['unknown-key at beacon.also[0].bauds']],
    [{ also: [{ alphabet: 'ita2' }] }, ['unknown-key at beacon.also[0].alphabet']],
    [{ shifts: { unshiftOnSpace: true, repeat: 2 } }, []],
    [{ shifts: { repeat: 0 } }, ['out-of-range at beacon.shifts.repeat']],
  ])('%j', (changes, expected) => expect(codesOf(beacon(changes))).toEqual(expected));

  test('of fsk only the shift is kept', () => {
    const { beacon } = missionOf(definition({ beacon: { modulation: 'fsk', markHz: 1275, spaceHz: 1445 } }));
    expect(beacon).toEqual({ modulation: 'fsk', shiftHz: 170, alphabet: 'ita2', also: [], shifts: {} });
  });
});

describe('layout parts', () => {
  const at = (path: string) => `frames[0].layout${path}`;
  test.each<[string, Json[], string[]]>([
    ['an empty layout part', [{}], [`unknown-part at ${at('[1]')}`]],
    ['a mistyped part', [{ feild: 'x', digits: 2 }], [`unknown-part at ${at('[1]')}`]],
    ['two parts in one', [{ text: 'A', field: 'x' }], [`two-kinds at ${at('[1]')}`]],
    ['a field without a form', [{ field: 'x' }], [`missing-key at ${at('[1]')}`]],
    ['a field with two forms', [{ field: 'x', digits: 2, hex: 2 }], [`two-kinds at ${at('[1]')}`]],
    ['no digits', [{ field: 'x', digits: 0 }], [`out-of-range at ${at('[1].digits')}`]],
    ['half a digit', [{ field: 'x', digits: 1.5 }], [`out-of-range at ${at('[1].digits')}`]],
    ['widths the wrong way round', [{ field: 'x', digits: [4, 1] }], [`wrong-order at ${at('[1].digits')}`]],
    ['too many digits', [{ field: 'x', digits: 12, decimals: 5 }], [`out-of-range at ${at('[1].digits')}`]],
    ['decimals of hex', [{ field: 'x', hex: 2, decimals: 1 }], [`does-not-belong at ${at('[1].decimals')}`]],
    ['an unknown sign', [{ field: 'x', digits: 2, sign: 'plus' }], [`unknown-choice at ${at('[1].sign')}`]],
    [
      'one sign for both',
      [{ field: 'x', digits: 2, sign: { plus: 'N', minus: 'N' } }],
      [`wrong-text at ${at('[1].sign')}`],
    ],
    ['symbols without length', [{ field: 'x', symbols: 'ABC' }], [`missing-key at ${at('[1].length')}`]],
    ['a symbol twice', [{ field: 'x', symbols: 'ABA', length: 2 }], [`wrong-text at ${at('[1].symbols')}`]],
    ['a text twice', [{ field: 'x', oneOf: ['ON', 'ON'] }], [`duplicate at ${at('[1].oneOf[1]')}`]],
    [
      'a missing text of spaces',
      [{ field: 'x', digits: 2, missing: ['  '] }],
      [`wrong-text at ${at('[1].missing[0]')}`],
    ],
    ['a counter that wraps too late', [{ field: 'x', digits: 2, wraps: 256 }], [`out-of-range at ${at('[1].wraps')}`]],
    ['a counter that is a text', [{ field: 'x', oneOf: ['A', 'B'], wraps: 2 }], [`out-of-range at ${at('[1].wraps')}`]],
    ['one alternative', [{ either: [[{ text: 'A' }]] }], [`wrong-length at ${at('[1].either')}`]],
    ['nothing optional', [{ optional: [] }], [`wrong-length at ${at('[1].optional')}`]],
    [
      'a fault deep inside',
      [{ optional: [{ either: [[{ text: '' }], [{ text: 'A' }]] }] }],
      [`wrong-text at ${at('[1].optional[0].either[0][0].text')}`],
    ],
    [
      'a field twice',
      [
        { field: 'x', digits: 2 },
        { field: 'x', digits: 2 },
      ],
      [`duplicate-field at ${at('[2]')}`],
    ],
    [
      'a field once more in an optional part',
      [{ field: 'x', digits: 2 }, { optional: [{ text: 'A' }, { field: 'x', digits: 2 }] }],
      [`duplicate-field at ${at('[2].optional[1]')}`],
    ],
    ['an unknown field again', [{ field: 'abc', digits: 2 }, { again: 'abd' }], [`unknown-field at ${at('[2]')}`]],
    [
      'a field again where it may not have been',
      [{ optional: [{ text: 'A' }, { field: 'x', digits: 2 }] }, { again: 'x' }],
      [`unknown-field at ${at('[2]')}`],
    ],
    [
      'the complement of a text',
      [
        { field: 'x', oneOf: ['A', 'B'] },
        { again: 'x', complement: true },
      ],
      [`no-complement at ${at('[2]')}`],
    ],
    ['characters that cannot be sent', [{ text: 'a#' }], [`character-not-in-alphabet at ${at('[1]')}`]],
    [
      'an underscore as a missing text',
      [{ field: 'x', digits: 2, missing: '__' }],
      [`character-not-in-alphabet at ${at('[1]')}`],
    ],
    [
      'two widths that run together',
      [
        { field: 'x', digits: [1, 2] },
        { field: 'y', digits: [1, 2] },
      ],
      ['layout-ambiguous at frames[0]'],
    ],
    [
      'a field behind the checksum',
      [{ field: 'x', digits: 2 }, { checksum: 'xor-8', hex: 2 }, { text: ' ' }, { field: 'y', digits: 2 }],
      [`not-covered at ${at('[4]')}`],
    ],
    [
      'a field behind the checksum that is sent twice, and one that another checksum covers',
      [
        { field: 'x', digits: 2 },
        { checksum: 'xor-8', hex: 2 },
        { field: 'y', digits: 2 },
        { again: 'y' },
        { field: 'z', digits: 2 },
        { checksum: 'xor-8', hex: 2, from: 'z' },
      ],
      [],
    ],
    ['a space at the end', [{ field: 'x', digits: 2 }, { text: ' ' }], ['space-at-end at frames[0]']],
  ])('%s', (_, layout, expected) => expect(codesOf(withLayout(layout))).toEqual(expected));

  test('every form that the contract names is read', () => {
    const layout: Json[] = [
      { field: 'a', digits: 3, decimals: 1, sign: 'always', missing: ['////'] },
      { text: ' ' },
      { field: 'b', digits: [1, 3], sign: { plus: 'P', minus: 'N' } },
      { text: ' ' },
      { field: 'c', hex: 4 },
      { field: 'd', letters: 2 },
      { field: 'e', symbols: 'PQWERTYUIO', length: 3, wraps: 1000 },
      { again: 'e', complement: true },
      { optional: [{ text: ' T' }, { field: 'f', digits: 2, missing: '//' }] },
      {
        either: [
          [{ text: ' X' }, { field: 'g', digits: 1 }],
          [{ text: ' YY' }, { field: 'g', digits: 1 }],
        ],
      },
      { text: ' ' },
      { checksum: 'mod-97-10', digits: 2 },
      { checksum: 'xor-8', symbols: 'ABCDEFGHIJKLMNOP', length: 2, covers: 'codes' },
      { checksum: 'CRC-16', hex: 4, covers: 'bytes', byteOrder: 'little', from: 'c', to: 'c' },
    ];
    const [frame] = missionOf(
      withFrames([{ id: 'one', layout, repeats: 2, validFrom: '2026-03-01', validUntil: '2026-04-01T00:00:00+02:00' }]),
    ).frames;
    expect(frame).toMatchObject({
      repeats: 2,
      validFrom: '2026-03-01T00:00:00.000Z',
      validUntil: '2026-03-31T22:00:00.000Z',
    });
    expect(frame.layout.map((part) => (part.part === 'field' ? part.form.kind : part.part))).toEqual(
      'digits text digits text hex letters symbols again optional either text checksum checksum checksum'.split(' '),
    );
    expect(frame.layout.at(-1)).toMatchObject({ algorithm: 'crc-16/arc', covers: 'bytes', byteOrder: 'little' });
  });

  test('an ambiguous layout comes with a text and its two readings', () => {
    const [fault] = faultsOf(
      withLayout([
        { field: 'x', digits: [1, 2] },
        { field: 'y', digits: [1, 2] },
      ]),
    );
    expect(fault.expected).toMatch(
      /"Q0DUN \d{3}" is literal "Q0DUN", x "\d+", y "\d+", or literal "Q0DUN", x "\d+", y "\d+"/,
    );
  });

  test('us-tty has other signs', () => {
    const beacon = { modulation: 'afsk', alphabet: 'us-tty' };
    const frames = [{ id: 'one', layout: [{ text: 'Q0DUN ' }, { field: 'x', digits: 2, sign: 'always' }] }];
    expect(faultsOf(withFrames(frames, [], { beacon }))).toMatchObject([
      { code: 'character-not-in-alphabet', expected: expect.stringContaining('not "+"') },
    ]);
    const dollars = [{ id: 'one', layout: [{ text: '$#!&";' }] }];
    expect(faultsOf(withFrames(dollars, [], { beacon }))).toEqual([]);
  });
});

describe('checksums', () => {
  const hex = [{ field: 'a', hex: 2 }, { text: ' ' }, { field: 'b', hex: 3 }, { text: ' ' }];
  const optional = { optional: [{ text: 'T' }, { field: 'o', hex: 2 }, { text: ' ' }] };
  const last = 'frames[0].layout[5]';
  test.each<[string, Json, string[]]>([
    ['an unknown name', { checksum: 'crc-16/imb-3740', hex: 4 }, [`unknown-checksum at ${last}.checksum`]],
    ['too few digits', { checksum: 'crc-16/ibm-3740', hex: 2 }, [`wrong-width at ${last}`]],
    ['a varying width', { checksum: 'sum-100', digits: [2, 3] }, [`wrong-width at ${last}`]],
    ['letters', { checksum: 'xor-8', letters: 2 }, [`unknown-key at ${last}.letters`, `missing-key at ${last}`]],
    ['what it may not cover', { checksum: 'xor-8', hex: 2, covers: 'bits' }, [`unknown-choice at ${last}.covers`]],
    ['half a byte', { checksum: 'xor-8', hex: 2, covers: 'bytes' }, [`half-bytes at ${last}`]],
    ['whole bytes', { checksum: 'xor-8', hex: 2, covers: 'bytes', to: 'a' }, [`not-covered at frames[0].layout[3]`]],
    ['an unknown start', { checksum: 'xor-8', hex: 2, from: 'c' }, [`unknown-field at ${last}`]],
    ['an end before its start', { checksum: 'xor-8', hex: 2, from: 'b', to: 'a' }, [`wrong-order at ${last}`]],
    ['an order of one byte', { checksum: 'xor-8', hex: 2, byteOrder: 'little' }, [`wrong-order at ${last}.byteOrder`]],
    [
      'check digits of bytes',
      { checksum: 'mod-97-10', digits: 2, covers: 'bytes', to: 'a' },
      [`unknown-choice at ${last}.covers`],
    ],
  ])('%s', (_, check, expected) => expect(codesOf(withLayout([...hex, check]))).toEqual(expected));

  test('cannot hang on what is not always sent, cover itself, or cover bytes where there are none', () => {
    expect(codesOf(withLayout([optional, ...hex, { checksum: 'xor-8', hex: 2, from: 'o' }]))).toEqual([
      'optional-field at frames[0].layout[6]',
    ]);
    expect(codesOf(withLayout([hex[0], { checksum: 'xor-8', hex: 2, from: 'a', to: 'b' }, hex[2]]))).toEqual([
      'wrong-order at frames[0].layout[2]',
    ]);
    expect(
      codesOf(
        withLayout([
          { field: 'a', digits: 2 },
          { checksum: 'xor-8', hex: 2, covers: 'bytes' },
        ]),
      ),
    ).toEqual(['no-bytes at frames[0].layout[2]']);
  });

  test('an unknown name gets the nearest', () => {
    const [fault] = faultsOf(
      withLayout([
        { field: 'a', digits: 2 },
        { checksum: 'crc-16/imb-3740', hex: 4 },
      ]),
    );
    expect(fault.expected).toMatch(/^did you mean "crc-16\/ibm-3740"/);
  });
});

describe('several frames', () => {
  const frame = (id: string, changes: Json = {}) => ({
    id,
    layout: [{ text: 'Q0DUN ' }, { field: 'x', digits: [2, 4] }],
    ...changes,
  });
  test('that print the same text cannot be told apart', () => {
    const [fault, ...more] = faultsOf(withFrames([frame('a'), frame('b')]));
    expect(more).toEqual([]);
    expect(fault).toMatchObject({ code: 'frames-alike', path: 'frames[1]' });
    expect(fault.expected).toMatch(/"Q0DUN \d\d" is a as literal "Q0DUN", x "\d\d", and b as/);
  });

  test('may be told apart by sequence, or by never being valid together', () => {
    expect(faultsOf(withFrames([frame('a'), frame('b')], [], { sequence: ['a', 'b'] }))).toEqual([]);
    const validity = [{ validUntil: '2026-01-01' }, { validFrom: '2026-01-01' }];
    expect(faultsOf(withFrames([frame('a', validity[0]), frame('b', validity[1])]))).toEqual([]);
    expect(codesOf(withFrames([frame('a', validity[0]), frame('b')]))).toEqual(['frames-alike at frames[1]']);
  });

  test('need ids of their own', () => {
    const other = { id: 'a', layout: [{ text: 'Q0DUN B' }] };
    expect(codesOf(withFrames([frame('a'), other]))).toEqual(['duplicate at frames[1]']);
  });

  test.each([
    [{ validFrom: '2026-02-30' }, 'wrong-text at frames[0].validFrom'],
    [{ validFrom: '1 March 2026' }, 'wrong-text at frames[0].validFrom'],
    [{ validFrom: '2026-03-01T12:00:00' }, 'wrong-text at frames[0].validFrom'],
    [{ validFrom: '2026-03-01', validUntil: '2026-03-01' }, 'wrong-order at frames[0].validUntil'],
  ])('%j', (changes, expected) => expect(codesOf(withFrames([frame('a', changes)]))).toEqual([expected]));
});

describe('parameters', () => {
  const layout: Json[] = [
    { field: 'count', digits: 5 },
    { text: ' ' },
    { field: 'temp', digits: [1, 3], sign: 'minus' },
    { text: ' ' },
    { field: 'w0', hex: 4 },
    { field: 'w1', hex: 4 },
    { text: ' ' },
    { field: 'mode', oneOf: ['SAFE', 'NOM'] },
    { text: ' ' },
    { field: 'channel', digits: 1 },
  ];
  const faults = (...parameters: Json[]) => codesOf(withLayout(layout, parameters));

  test.each<[string, Json, string]>([
    ['no source', {}, 'missing-key at parameters[0]'],
    ['two sources', { from: 'count', derive: { sum: ['p'] } }, 'two-kinds at parameters[0]'],
    ['an unknown field', { from: 'cuont' }, 'unknown-field at parameters[0].from'],
    ['an unknown frame', { from: 'two.count' }, 'unknown-frame at parameters[0].from'],
    ['a bit that is not there', { from: 'w0', bit: 16 }, 'out-of-range at parameters[0].bit'],
    ['bits the wrong way round', { from: 'w0', bits: [3, 0] }, 'wrong-order at parameters[0].bits'],
    ['bits of a signed number', { from: 'temp', bit: 0 }, 'no-bits at parameters[0].bit'],
    ['a sign bit of digits', { from: 'count', signed: true }, 'no-bits at parameters[0].signed'],
    ['bit and bits', { from: 'w0', bit: 1, bits: [0, 1] }, 'two-kinds at parameters[0].bit'],
    ['bits of a join', { from: { join: ['w0', 'w1'] }, bit: 1 }, 'does-not-belong at parameters[0].bit'],
    ['a join of varying widths', { from: { join: ['temp'] } }, 'no-join at parameters[0].from.join'],
    ['a short float', { from: { join: ['w0'], as: 'float32' } }, 'no-join at parameters[0].from.as'],
    ['bcd of digits', { from: { join: ['count'], as: 'bcd' } }, 'no-join at parameters[0].from.as'],
    ['an unknown where', { from: { join: ['w0'], where: { chanel: 3 } } }, 'unknown-field at parameters[0].from.where'],
    [
      'a where that cannot be',
      { from: { join: ['w0'], where: { channel: 30 } } },
      'never-true at parameters[0].from.where.channel',
    ],
    ['an unknown operand', { derive: { sum: ['q'] } }, 'unknown-parameter at parameters[0].derive'],
    ['two operations', { derive: { sum: ['p'], mean: ['p'] } }, 'missing-key at parameters[0].derive'],
    [
      'three of a difference',
      { derive: { difference: ['p', 'p', 'p'] } },
      'wrong-length at parameters[0].derive.difference',
    ],
    ['itself', { derive: { sum: ['p'] } }, 'cycle at parameters[0].derive'],
    [
      'a calibration by itself',
      { from: 'count', calibration: { choose: [{ when: { parameter: 'p', above: 0 }, steps: [] }] } },
      'cycle at parameters[0].calibration',
    ],
    ['an unknown unit', { from: 'count', unit: 'Volt' }, 'unknown-unit at parameters[0].unit'],
    [
      'a unit against the role',
      { from: 'count', unit: 'A', role: 'battery_voltage' },
      'unit-mismatch at parameters[0].unit',
    ],
    [
      'a unit against the calibration',
      { from: 'count', unit: 'K', calibration: { platinum: { ohmsAt0C: 100 } } },
      'unit-mismatch at parameters[0].unit',
    ],
    ['an unknown role', { from: 'count', role: 'voltage' }, 'unknown-choice at parameters[0].role'],
    [
      'a mistyped step',
      { from: 'count', calibration: { polynom: [0, 1] } },
      'unknown-key at parameters[0].calibration.polynom',
    ],
    [
      'points out of order',
      {
        from: 'count',
        calibration: {
          points: [
            [0, 1],
            [0, 2],
          ],
        },
      },
      'wrong-order at parameters[0].calibration.points[1]',
    ],
    [
      'half a divider',
      { from: 'count', calibration: { divider: { fixedOhms: 1, supplyVolts: 3 } } },
      'missing-key at parameters[0].calibration.divider.sensorSide',
    ],
    [
      'two thermistors in one',
      { from: 'count', calibration: { thermistor: { betaKelvin: 3380, steinhartHart: [1, 1, 1] } } },
      'two-kinds at parameters[0].calibration.thermistor.betaKelvin',
    ],
    [
      'a choice that hides others',
      { from: 'count', calibration: { choose: [{ steps: [] }, { steps: [] }] } },
      'missing-key at parameters[0].calibration.choose[0]',
    ],
    [
      'two calibrations at once',
      { from: 'count', calibration: [{ steps: [] }, { steps: [] }] },
      'same-validity at parameters[0].calibration[1]',
    ],
    ['a calibrated text', { from: 'mode', calibration: { ratio: 2 } }, 'not-a-number at parameters[0].calibration'],
    ['limits of a text', { from: 'mode', limits: { soft: [0, 1] } }, 'not-a-number at parameters[0].limits'],
    [
      'soft outside hard',
      { from: 'count', limits: { soft: [0, 10], hard: [1, 9] } },
      'wrong-order at parameters[0].limits.soft',
    ],
    [
      'bounds the wrong way round',
      { from: 'count', limits: { soft: [10, 0] } },
      'wrong-order at parameters[0].limits.soft',
    ],
    ['no limits', { from: 'count', limits: {} }, 'missing-key at parameters[0].limits'],
    [
      'limits never reached',
      { from: 'count', limits: [{ soft: [0, 1] }, { soft: [0, 2] }] },
      'never-reached at parameters[0].limits[1]',
    ],
    [
      'an unknown condition',
      { from: 'count', limits: [{ soft: [0, 1], when: { parameter: 'q', above: 0 } }] },
      'unknown-parameter at parameters[0].limits[0].when.parameter',
    ],
    [
      'a condition without a test',
      { from: 'count', limits: { soft: [0, 1], when: { parameter: 'p' } } },
      'missing-key at parameters[0].limits.when',
    ],
    ['a state that cannot be', { from: 'mode', states: { OFF: 'off' } }, 'never-true at parameters[0].states.OFF'],
    ['a state that is no number', { from: 'count', states: { on: 'on' } }, 'never-true at parameters[0].states.on'],
    ['half a transmission', { from: 'count', persistence: 0.5 }, 'out-of-range at parameters[0].persistence'],
    [
      'a limit out of reach',
      { from: 'count', limits: { hard: [null, 100_000] } },
      'limit-out-of-reach at parameters[0].limits.hard',
    ],
  ])('%s', (_, parameter, expected) => {
    expect(faults({ id: 'p', ...parameter })).toContain(expected);
  });

  test.each<[string, Json]>([
    ['of a frame', { from: 'one.count' }],
    ['signed bits', { from: 'w0', bits: [4, 11], signed: true }],
    ['a signed word', { from: 'w0', signed: true }],
    ['a float', { from: { join: ['w0', 'w1'], as: 'float32', order: 'little', where: { channel: 3, mode: 'NOM' } } }],
    [
      'a chain of steps',
      {
        from: 'count',
        unit: 'Cel',
        calibration: [
          { adc: { bits: 12, referenceVolts: 3.3 } },
          { divider: { fixedOhms: 1e4, supplyVolts: 3.3, sensorSide: 'low' } },
          { thermistor: { betaKelvin: 3380, ohmsAt25C: 1e4 } },
        ],
      },
    ],
    [
      'steps with validity',
      { from: 'count', calibration: [{ steps: { ratio: 2 } }, { steps: [{ ratio: 3 }], validFrom: '2026-03-01' }] },
    ],
    ['limits with validity', { from: 'count', limits: [{ soft: [0, 1] }, { soft: [0, 2], validFrom: '2026-03-01' }] }],
    [
      'limits with a condition on words',
      { from: 'count', limits: [{ soft: [0, 1], when: { parameter: 'm', equals: 'SAFE' } }, { hard: [null, 5] }] },
    ],
  ])('%s', (_, parameter) => expect(faults({ id: 'p', ...parameter }, { id: 'm', from: 'mode' })).toEqual([]));

  test('cycles are shown whole', () => {
    const circle = [
      { id: 'a', derive: { sum: ['b'] } },
      { id: 'b', derive: { scale: ['c', 2] } },
      { id: 'c', derive: { sum: ['a'] } },
    ];
    expect(faultsOf(withLayout(layout, circle))).toMatchObject([
      { code: 'cycle', path: 'parameters[0].derive', expected: expect.stringContaining('a <- b <- c <- a') },
    ]);
  });

  test('the units of derived values are checked', () => {
    const battery = [
      { id: 'u', from: 'count', unit: 'V' },
      { id: 'i', from: 'count', unit: 'mA' },
      { id: 't', from: 'temp', unit: '°C' },
    ];
    const fault = (derive: Json, unit: string) =>
      faultsOf(withLayout(layout, [...battery, { id: 'd', unit, derive }])).map(({ expected }) => expected);
    expect(fault({ product: ['u', 'i'] }, 'mW')).toEqual([]);
    expect(fault({ product: ['u', 'i'] }, 'W')).toEqual(['mW, which is the product of V and mA']);
    expect(fault({ quotient: ['u', 'i'] }, 'kOhm')).toEqual([]);
    expect(fault({ sum: ['u', 'i'] }, 'V')).toEqual(['operands that go together: the sum of V and mA has no unit']);
    expect(fault({ difference: ['t', 't'] }, 'K')).toEqual([]);
    expect(fault({ mean: ['t', 't'] }, 'Cel')).toEqual([]);
    expect(fault({ sum: ['t', 't'] }, 'Cel')).toHaveLength(1);
    expect(fault({ scale: ['i', 0.001] }, 'A')).toEqual([]);
    expect(fault({ scale: ['u', 0.5] }, 'A')).toEqual(['V, which is the scale of V']);
  });

  test('ids stand once', () => {
    expect(faults({ id: 'p', from: 'count' }, { id: 'p', from: 'temp' })).toEqual(['duplicate at parameters[1].id']);
  });

  test('a field of several frames must be printed alike, or be named with its frame', () => {
    const frames = (digits: number) => [
      { id: 'one', layout: [{ text: 'Q0DUN A ' }, { field: 'count', digits: 5 }] },
      {
        id: 'two',
        layout: [{ text: 'Q0DUN B ' }, { field: 'count', digits }, { text: ' ' }, { field: 'x', digits: 1 }],
      },
    ];
    expect(codesOf(withFrames(frames(5), [{ id: 'p', from: 'count' }]))).toEqual([]);
    expect(faultsOf(withFrames(frames(4), [{ id: 'p', from: 'count' }]))).toMatchObject([
      { code: 'ambiguous-field', expected: expect.stringContaining('one of one.count, two.count') },
    ]);
    expect(codesOf(withFrames(frames(4), [{ id: 'p', from: 'two.count' }]))).toEqual([]);
    const apart = [
      { id: 'a', from: 'one.count' },
      { id: 'b', from: 'x' },
    ];
    expect(codesOf(withFrames(frames(4), [...apart, { id: 'd', derive: { sum: ['a', 'b'] } }]))).toEqual([
      'different-frames at parameters[2].derive',
    ]);
    expect(
      codesOf(withFrames(frames(4), [...apart, { id: 'd', derive: { sum: ['a', 'b'], withinSeconds: 60 } }])),
    ).toEqual([]);
    expect(codesOf(withFrames(frames(4), [{ id: 'j', from: { join: ['one.count', 'x'] } }]))).toEqual([
      'different-frames at parameters[0].from.join',
    ]);
  });
});

describe('whatever comes in', () => {
  test('any JSON value gives faults, never an exception', () => {
    fc.assert(
      fc.property(fc.jsonValue({ maxDepth: 6 }), (json) => {
        const { mission, faults } = readMission(json);
        expect(mission === null).toBe(true);
        expect(faults.length).toBeGreaterThan(0);
      }),
    );
  });

  test('a definition changed anywhere gives a mission or faults, never an exception', () => {
    const junk = fc.oneof(
      fc.jsonValue({ maxDepth: 2 }),
      fc.constantFrom<unknown>(
        null,
        -1,
        0,
        Number.POSITIVE_INFINITY,
        1e15,
        '',
        'battery',
        'mode',
        [],
        {},
        [[]],
        '__proto__',
        'constructor',
      ),
    );
    const base = definition({
      parameters: [
        ...(definition().parameters as Json[]),
        {
          id: 'x',
          from: { join: ['status'], as: 'bcd', where: { mode: 'NOM' } },
          limits: [{ soft: [1, 2], when: { parameter: 'mode', equals: 'NOM' } }, { hard: [null, 50] }],
        },
        {
          id: 'y',
          from: 'bus',
          calibration: [
            {
              steps: [
                {
                  choose: [
                    { when: { parameter: 'heater', above: 0 }, steps: { ratio: 2 } },
                    {
                      steps: [
                        {
                          points: [
                            [0, 1],
                            [99, 2],
                          ],
                        },
                      ],
                    },
                  ],
                },
              ],
              validFrom: '2026-01-01',
            },
          ],
        },
      ],
    });
    fc.assert(
      fc.property(fc.array(fc.tuple(fc.nat(), junk, fc.nat(3)), { minLength: 1, maxLength: 3 }), (changes) => {
        const json: unknown = structuredClone(base);
        for (const [where, value, kind] of changes) changeSomewhere(json, where, value, kind);
        const { mission, faults } = readMission(json);
        expect(mission === null).toBe(faults.some(({ severity }) => severity === 'fault'));
        for (const fault of faults) expect(fault.found.length).toBeLessThan(200);
      }),
      { numRuns: 500 },
    );
  });

  test('a chain of thousands of parameters is read in its stride', () => {
    const parameters: Json[] = [{ id: 'p0', from: 'count' }];
    for (let i = 1; i < 2000; i++)
      parameters.push({ id: `p${i}`, derive: { sum: [`p${i - 1}`, `p${i - 1}`] }, limits: { soft: [0, null] } });
    expect(faultsOf(withLayout([{ field: 'count', digits: 2 }], parameters))).toEqual([]);
  });
});

/** Replaces, removes, adds or doubles the value at some place of a JSON tree. */
function changeSomewhere(json: unknown, where: number, value: unknown, kind: number): void {
  const places: [Record<string, unknown>, string][] = [];
  const collect = (each: unknown): void => {
    if (typeof each !== 'object' || each === null) return;
    for (const key of Object.keys(each)) {
      places.push([each as Record<string, unknown>, key]);
      collect((each as Record<string, unknown>)[key]);
    }
  };
  collect(json);
  const [parent, key] = places[where % places.length];
  if (kind === 0) parent[key] = value;
  else if (kind === 1) Array.isArray(parent) ? parent.splice(Number(key), 1) : delete parent[key];
  else if (kind === 2)
    Object.defineProperty(parent, String(value), {
      value: structuredClone(parent[key]),
      enumerable: true,
      writable: true,
      configurable: true,
    });
  else if (Array.isArray(parent)) parent.push(structuredClone(parent[Number(key)]));
  else parent[`${key}s`] = value;
}
