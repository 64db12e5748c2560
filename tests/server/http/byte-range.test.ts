import { expect, test } from 'vitest';
import { bytesWanted } from '../../../server/http/byte-range.ts';

// RFC 9110, section 14.1.2: the examples there are of a representation of 10 000 bytes.
test.each([
  ['bytes=0-499', { first: 0, last: 499 }],
  ['bytes=500-999', { first: 500, last: 999 }],
  ['bytes=-500', { first: 9500, last: 9999 }],
  ['bytes=9500-', { first: 9500, last: 9999 }],
  ['bytes=9000-20000', { first: 9000, last: 9999 }],
  ['bytes=-20000', { first: 0, last: 9999 }],
])('%s of 10 000 bytes', (header, range) => {
  expect(bytesWanted(header, 10_000)).toEqual(range);
});

test.each(['bytes=10000-', 'bytes=-0'])('%s of 10 000 bytes holds none', (header) => {
  expect(bytesWanted(header, 10_000)).toBe('none');
});

test.each([undefined, '', 'bytes=-', 'bytes=5-4', 'bytes=0-1,3-4', 'lines=0-1', 'bytes=a-b'])(
  '%s is the whole file',
  (header) => {
    expect(bytesWanted(header, 10_000)).toBeNull();
  },
);
