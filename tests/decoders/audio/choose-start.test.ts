import { describe, expect, it } from 'vitest';
import { chooseStart, type StartBounds } from '../../../decoders/audio/choose-start.ts';
import type { RecordingStart } from '../../../decoders/audio/start-time.ts';
import { startFromComments, startFromContainer, startFromIso } from '../../../decoders/audio/start-time.ts';

const bounds: StartBounds = { seconds: 600, existedAt: '2031-05-04T09:00:00.000Z', notBefore: null };
const said = (source: string, iso: string, zoneStated = true): RecordingStart => ({
  iso,
  source,
  zoneStated,
  uncertaintySeconds: zoneStated ? 1 : 50_400,
});
const nothing = { declared: null, container: null, fileName: null };
const declared = said('sender', '2031-05-04T08:00:00.000Z');
const codes = ({ problems }: ReturnType<typeof chooseStart>): string[] => problems.map(({ code }) => code);

describe('chooseStart', () => {
  it('takes the sender before the container before the file name', () => {
    const container = said('bext', '2031-05-04T08:00:10.000Z');
    const fileName = said('file name', '2031-05-04T08:00:20.000Z');
    const all = { declared, container, fileName };
    expect(chooseStart(all, bounds)).toEqual({ start: declared, problems: [] });
    expect(chooseStart({ ...all, declared: null }, bounds).start).toBe(container);
    expect(chooseStart({ ...nothing, fileName }, bounds).start).toBe(fileName);
    expect(chooseStart(nothing, bounds)).toEqual({ start: null, problems: [] });
  });

  it('reports what contradicts the time that was taken', () => {
    const container = said('bext', '2031-05-04T07:00:00.000Z');
    const { start, problems } = chooseStart({ ...nothing, declared, container }, bounds);
    expect(start).toBe(declared);
    expect(problems).toEqual([
      {
        code: 'times-disagree',
        message:
          'The sender says it began at 2031-05-04T08:00:00.000Z, which was taken; the bext says 2031-05-04T07:00:00.000Z.',
        atSeconds: null,
      },
    ]);
  });

  it('takes a clock in another zone for no contradiction, but a clock that is wrong', () => {
    const local = (iso: string) => ({ ...nothing, declared, container: said('bext', iso, false) });
    for (const iso of ['2031-05-04T10:00:05.000Z', '2031-05-04T13:29:58.000Z', '2031-05-03T20:15:00.000Z']) {
      expect(codes(chooseStart(local(iso), { ...bounds, existedAt: '2031-05-06T00:00:00Z' }))).toEqual([]);
    }
    expect(codes(chooseStart(local('2031-05-04T08:07:00.000Z'), bounds))).toEqual(['times-disagree']);
  });

  it('says when a recording holds less than its name says it lasted', () => {
    const named = { ...nothing, declared, namedSeconds: 900 };
    expect(chooseStart(named, { ...bounds, seconds: 400 }).problems).toEqual([
      expect.objectContaining({ code: 'time-gaps', message: expect.stringContaining('left out 500 s') }),
    ]);
    for (const seconds of [830, 900, 1000, 0]) expect(codes(chooseStart(named, { ...bounds, seconds }))).toEqual([]);
  });

  it('says when UTC had to be assumed', () => {
    const container = said('bext', '2031-05-04T08:00:00.000Z', false);
    expect(codes(chooseStart({ ...nothing, container }, bounds))).toEqual(['time-zone-assumed']);
  });

  it.each([
    ['after it was sent', '2031-05-04T09:30:00.000Z', {}],
    ['would end after it was sent', '2031-05-04T08:57:00.000Z', {}],
    ['before 2000', '1999-12-31T23:59:59.000Z', {}],
    ['before the satellite could be heard', '2031-05-03T08:00:00.000Z', { notBefore: '2031-05-04T00:00:00.000Z' }],
  ])('refuses a time %s, and goes on to the next', (words, iso, more) => {
    const stated = { declared: null, container: said('bext', iso), fileName: said('file name', declared.iso) };
    const { start, problems } = chooseStart(stated, { ...bounds, ...more });
    expect(start).toBe(stated.fileName);
    expect(problems).toMatchObject([{ code: 'time-impossible', message: expect.stringContaining(words) }]);
    expect(chooseStart({ ...stated, fileName: null }, { ...bounds, ...more }).start).toBeNull();
  });

  it('lets the clocks of sender and server differ by minutes', () => {
    const container = said('bext', '2031-05-04T08:54:00.000Z');
    expect(chooseStart({ ...nothing, container }, bounds)).toEqual({ start: container, problems: [] });
  });
});

describe('starts in containers', () => {
  it('reads ISO 8601 with and without zone', () => {
    expect(startFromIso('2031-05-04T11:12:07+02:00', 'x')).toEqual(said('x', '2031-05-04T09:12:07.000Z'));
    expect(startFromIso(' 2031-05-04 09:12:07,5 ', 'x')).toEqual(said('x', '2031-05-04T09:12:07.500Z', false));
    expect(startFromIso('2031-05-04T09:12Z', 'x')).toMatchObject({ uncertaintySeconds: 60 });
    for (const text of ['2031-05-04', '2031', '04.05.2031 09:12', '2031-02-30T09:12:07Z', '2031-05-04T25:12:07Z', '']) {
      expect(startFromIso(text, 'x')).toBeNull();
    }
  });

  it('finds a time among Vorbis comments, one with its zone before one without', () => {
    const comments = [
      { name: 'TITLE', value: '2031-05-04T01:00:00Z' },
      { name: 'DATE', value: '2031-05-04' },
      { name: 'TIMESTAMP', value: '2031-05-04 10:12:07' },
      { name: 'CREATION_TIME', value: '2031-05-04T09:12:07Z' },
    ];
    expect(startFromComments(comments)).toEqual(said('comment CREATION_TIME', '2031-05-04T09:12:07.000Z'));
    expect(startFromComments(comments.slice(0, 3))).toMatchObject({ source: 'comment TIMESTAMP', zoneStated: false });
    expect(startFromComments(comments.slice(0, 2))).toBeNull();
    const info = { sampleRateHz: 8000, channels: 1, encoding: 'flac', statedFrames: null, startedAt: null };
    expect(startFromContainer({ ...info, comments })).toMatchObject({ source: 'comment CREATION_TIME' });
    expect(startFromContainer(info)).toBeNull();
  });

  it('takes what a reader says of its container as it says it', () => {
    const info = { sampleRateHz: 8000, channels: 1, encoding: 'x', statedFrames: null };
    const startedAt = { iso: '2031-05-04T09:12:07.000Z', source: 'sigmf' };
    expect(startFromContainer({ ...info, startedAt })).toEqual(said('sigmf', startedAt.iso));
    const local = { ...startedAt, source: 'bext', zoneStated: false };
    expect(startFromContainer({ ...info, startedAt: local })).toEqual(said('bext', startedAt.iso, false));
  });
});
