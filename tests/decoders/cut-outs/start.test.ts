import { expect, test } from 'vitest';
import { cutOutStart } from '../../../decoders/cut-outs/start.ts';

const start = { iso: '2031-05-04T09:00:00.000Z', source: 'bext', uncertaintySeconds: 1, zoneStated: true };
const existedAt = '2031-05-04T10:00:00.000Z';

test('a cut-out began so many seconds after its recording, by the same word and as exactly', () => {
  expect(cutOutStart({ start, sureSeconds: Number.POSITIVE_INFINITY, existedAt }, 600.25)).toEqual({
    ...start,
    iso: '2031-05-04T09:10:00.250Z',
  });
});

test('without a time of the recording it has none', () => {
  expect(cutOutStart({ start: null, sureSeconds: Number.POSITIVE_INFINITY, existedAt }, 5)).toBeNull();
});

test('where the recorder skips silence, it is sure at first, then any time until the recording was whole', () => {
  expect(cutOutStart({ start, sureSeconds: 120, existedAt }, 60)?.uncertaintySeconds).toBe(1);
  expect(cutOutStart({ start, sureSeconds: 120, existedAt }, 600)?.uncertaintySeconds).toBe(1 + 3000);
  expect(cutOutStart({ start, sureSeconds: 120, existedAt: '2031-05-06T10:00:00.000Z' }, 600)).toBeNull();
});
