// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { answerOf } from '../../../web/site/answers.ts';
import type { Site } from '../../../web/site/site.ts';

const definition = { fiveunit: 1, id: 'dunlin-1' };
const site: Site = {
  missions: [{ id: 'dunlin-1', name: 'Dunlin-1', callSign: 'Q0DUN', definition }],
  server: null,
  builtAt: '2031-05-04T09:00:00.000Z',
};

describe('a static site', () => {
  it('lists its missions, and says which are invented', () => {
    expect(answerOf(site, 'GET', '/api/missions')).toMatchObject({
      missions: [{ id: 'dunlin-1', name: 'Dunlin-1', invented: true, savedAt: site.builtAt }],
    });
  });

  it('gives their definitions, whatever version is asked for', () => {
    expect(answerOf(site, 'GET', '/api/missions/dunlin-1')).toBe(definition);
    expect(answerOf(site, 'GET', '/api/missions/dunlin-1?version=3')).toBe(definition);
  });

  it.each([
    ['GET', '/api/missions/plover-2'],
    ['GET', '/api/missions/dunlin-1/frames'],
    ['GET', '/api/settings'],
    ['POST', '/api/frames'],
    ['DELETE', '/api/missions/dunlin-1'],
  ])('has no answer to %s %s, and says why', (method, path) => {
    expect(() => answerOf(site, method, path)).toThrow(
      expect.objectContaining({ code: 'no-server', message: expect.stringContaining('no server') }),
    );
  });
});
