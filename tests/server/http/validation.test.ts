import fc from 'fast-check';
import { Type } from 'typebox';
import { describe, expect, test } from 'vitest';
import { formReader, validatorCompiler } from '../../../server/http/validation.ts';

const schema = Type.Object(
  {
    n: Type.Union([Type.Number(), Type.Null()]),
    flag: Type.Optional(Type.Boolean()),
    limit: Type.Optional(Type.Integer({ default: 5 })),
  },
  { additionalProperties: false },
);

function validate(httpPart: string, data: unknown) {
  const check = validatorCompiler({ schema, method: 'POST', url: '/x', httpPart });
  return check(data) as { value?: unknown; error?: Error };
}

describe('a body', () => {
  test('is never bent: null stays null, text is no number, nothing is dropped', () => {
    expect(validate('body', { n: null })).toEqual({ value: { n: null, limit: 5 } });
    expect(validate('body', { n: 0 })).toEqual({ value: { n: 0, limit: 5 } });
    for (const data of [
      { n: '12' },
      { n: '' },
      { n: false },
      { n: [1] },
      {},
      { n: 1, flag: 'true' },
      { n: 1, more: 1 },
      { n: 1, limit: 1.5 },
    ]) {
      expect(validate('body', data).error, JSON.stringify(data)).toMatchObject({ code: 'request-malformed' });
    }
  });

  test('that passes is what was sent', () => {
    fc.assert(
      fc.property(fc.jsonValue(), (n) => {
        const sent = { n, limit: 1 };
        const { value, error } = validate('body', structuredClone(sent));
        const fits = n === null || typeof n === 'number';
        expect(error === undefined).toBe(fits);
        if (fits) expect(value).toEqual(sent);
      }),
    );
  });
});

test('a query is text that becomes what the schema says', () => {
  expect(validate('querystring', { n: '12', flag: 'true' })).toEqual({ value: { n: 12, flag: true, limit: 5 } });
  for (const data of [
    { n: 'twelve' },
    { n: '1', limit: '' },
    { n: '1', flag: 'yes' },
    { n: '1', x: '2' },
    { n: '1e999' },
    { n: '1', limit: '-Infinity' },
  ]) {
    expect(validate('querystring', data).error, JSON.stringify(data)).toMatchObject({ code: 'request-malformed' });
  }
});

test('a form is text as well', () => {
  const read = formReader(Type.Object({ seconds: Type.Number({ minimum: 0 }) }));
  expect(read({ seconds: '2.5' })).toEqual({ seconds: 2.5 });
  expect(() => read({ seconds: '1e999' })).toThrow('body/seconds must be a number that can be written out');
  expect(() => read({ seconds: 'long' })).toThrow('body/seconds must be number; "long" was given');
});

test('a refusal shows the start of what was given, however long it is', () => {
  const { error } = validate('body', { n: 'x'.repeat(10_000) });
  expect(error?.message.length).toBeLessThan(200);
  expect(error?.message).toContain('…');
});
