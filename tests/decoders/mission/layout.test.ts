import { expect, test } from 'vitest';
import { checksOf, fieldsOf, framesOf, partsOf } from '../../../decoders/mission/layout.ts';
import { missionOf, withFrames } from './definition.ts';

const mission = missionOf(
  withFrames(
    [
      {
        id: 'a',
        layout: [
          { text: 'Q0DUN A ' },
          { field: 'count', digits: 2 },
          { optional: [{ text: ' ' }, { field: 't', digits: 1 }] },
          { either: [[{ text: 'X' }, { field: 'u', hex: 2 }], [{ text: 'Y' }]] },
          { checksum: 'xor-8', hex: 2 },
        ],
      },
      { id: 'b', layout: [{ text: 'Q0DUN B ' }, { field: 'count', digits: 2 }, { text: ' ' }, { field: 'v', hex: 2 }] },
    ],
    [
      { id: 'count', from: 'count' },
      { id: 'countA', from: 'a.count' },
      { id: 'v', from: { join: ['v'] } },
      { id: 'both', derive: { sum: ['count', 'v'] } },
      { id: 'apart', derive: { sum: ['countA', 'v'], withinSeconds: 9 } },
    ],
  ),
);

test('parts, fields and checksums at any depth, in order', () => {
  const { layout } = mission.frames[0];
  expect([...partsOf(layout)].map(({ part }) => part)).toEqual(
    'text field optional text field either text field text checksum'.split(' '),
  );
  expect([...fieldsOf(layout).keys()]).toEqual(['count', 't', 'u']);
  expect(checksOf(layout)).toHaveLength(1);
});

test('which frames give a parameter by themselves', () => {
  expect(mission.parameters.map((parameter) => framesOf(mission, parameter))).toEqual([
    ['a', 'b'],
    ['a'],
    ['b'],
    ['b'],
    [],
  ]);
});
