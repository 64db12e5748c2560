// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { addressOf, queryText, readAddress } from '../../../web/address/address.ts';

describe('the address of a page', () => {
  it.each([
    ['/', 'now', null],
    ['/trends', 'trends', null],
    ['/trends/', 'trends', null],
    ['/recordings', 'recordings', null],
    ['/recordings/r12', 'recordings', 'r12'],
    ['/frames/f3', 'frames', 'f3'],
    ['/listen', 'listen', null],
    ['/mission', 'mission', null],
    ['/mission/hear', 'mission', 'hear'],
  ])('reads %s', (path, page, id) => {
    expect(readAddress(path, '')).toMatchObject({ page, id });
  });

  it.each(['/trends/7', '/mission/elsewhere', '/recordings/r1/bursts', '/nowhere', '/recordings/%E0%A4%A', '/../etc'])(
    'says that %s names no page',
    (path) => {
      expect(readAddress(path, '').page).toBeNull();
    },
  );

  it('comes back from what it wrote', () => {
    const href = addressOf('recordings', 'r 1/2?', { mission: 'dunlin-1', frame: 'f9' });
    const url = new URL(href, 'http://here');
    const read = readAddress(url.pathname, url.search);
    expect(read.page).toBe('recordings');
    expect(read.id).toBe('r 1/2?');
    expect(read.query.get('frame')).toBe('f9');
  });

  it('leaves out what has no value and repeats what has several', () => {
    expect(queryText({ a: null, b: '', c: undefined, d: ['x', 'y'], e: 0 })).toBe('d=x&d=y&e=0');
    expect(addressOf('now')).toBe('/');
  });
});
