import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { parseJsonText } from '../../../decoders/mission/json-text.ts';

describe('parseJsonText', () => {
  test('reads whatever JSON.stringify writes, as JSON.parse does', () => {
    fc.assert(
      fc.property(fc.jsonValue({ maxDepth: 5 }), fc.constantFrom(undefined, 2, '\t'), (value, indent) => {
        const text = JSON.stringify(value, null, indent);
        expect(parseJsonText(text)).toEqual({ json: JSON.parse(text), faults: [] });
      }),
    );
  });

  test('agrees with JSON.parse on what is no JSON', () => {
    const tokens = fc.constantFrom(
      '{',
      '}',
      '[',
      ']',
      ':',
      ',',
      '"a"',
      '"',
      '1',
      '-',
      '0',
      '.5',
      'e1',
      'true',
      'null',
      ' ',
      '\n',
      '\\u00e9',
      '\\',
      'x',
      '\u0001',
    );
    fc.assert(
      fc.property(fc.array(tokens, { maxLength: 12 }), (pieces) => {
        const text = pieces.join('');
        let parsed: unknown;
        try {
          parsed = JSON.parse(text);
        } catch {
          parsed = undefined;
        }
        const { json, faults } = parseJsonText(text);
        expect(json).toEqual(parsed);
        expect(faults.filter(({ code }) => code === 'not-json')).toHaveLength(parsed === undefined ? 1 : 0);
      }),
      { numRuns: 3000 },
    );
  });

  test.each([
    ['{"a": 1,}', 'line 1, column 9', '}', 'another key in double quotes'],
    ['{\n  "a": 01\n}', 'line 2, column 9', '1', 'no leading zeros'],
    ["{'a': 1}", 'line 1, column 2', "'a': 1}", 'a key in double quotes'],
    ['[1, 2', 'line 1, column 6', 'the end of the file', 'a comma or ]'],
    ['{"a" 1}', 'line 1, column 6', '1}', 'a colon'],
    ['\r\n\r\n// x', 'line 3, column 1', '// x', 'a value'],
    ['"a\nb"', 'line 1, column 3', 'the end of the line', 'no line end'],
    ['"\\q"', 'line 1, column 3', 'q"', 'after \\'],
    ['{} {}', 'line 1, column 4', '{}', 'the end of the file'],
    ['', 'line 1, column 1', 'the end of the file', 'a value'],
    ['[NaN]', 'line 1, column 2', 'NaN]', 'a value'],
  ])('%j: %s', (text, path, found, expected) => {
    const { json, faults } = parseJsonText(text);
    expect(json).toBeUndefined();
    expect(faults).toEqual([
      { code: 'not-json', path, found, expected: expect.stringContaining(expected), severity: 'fault' },
    ]);
  });

  test('says which key stands twice', () => {
    expect(parseJsonText('{"a": [{"b": 1,\n "b": 2}]}').faults).toEqual([
      expect.objectContaining({ code: 'duplicate-key', path: 'a[0].b (line 2, column 2)' }),
    ]);
  });

  test('a byte order mark is no fault; endless nesting is', () => {
    expect(parseJsonText('\uFEFF[1]').json).toEqual([1]);
    expect(parseJsonText('['.repeat(100_000)).faults[0].expected).toMatch(/64 levels/);
  });

  test('a key named like a part of every object is a key like any other', () => {
    const { json } = parseJsonText('{"__proto__": 1, "constructor": 2}');
    expect(Object.entries(json as object)).toEqual([
      ['__proto__', 1],
      ['constructor', 2],
    ]);
  });
});
