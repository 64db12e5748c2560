import { describe, expect, test } from 'vitest';
import { CommandError } from '../../../../server/cli/exit.ts';
import { parseValues } from '../../../../server/cli/simulate/values.ts';

describe('parseValues', () => {
  test('takes numbers, texts and "no value"', () => {
    const text = '[{ "frame": "power", "values": { "battery": 7921, "mode": "NOM", "sun": null } }]';
    expect(parseValues('v.json', text)).toEqual([
      { frame: 'power', values: { battery: 7921, mode: 'NOM', sun: null } },
    ]);
  });

  test.each([
    ['{', /v\.json: this is no JSON/],
    ['{}', /v\.json: a list/],
    ['[]', /v\.json: a list/],
    ['[null]', /at \[0\]/],
    ['[{ "frame": "power", "values": [] }]', /at \[0\]/],
    ['[{ "frame": 1, "values": {} }]', /at \[0\]/],
    ['[{ "frame": "power", "values": { "a": true } }]', /at \[0\]\.values\.a, a number/],
  ])('refuses %s', (text, message) => {
    expect(() => parseValues('v.json', text)).toThrow(CommandError);
    expect(() => parseValues('v.json', text)).toThrow(message);
  });
});
