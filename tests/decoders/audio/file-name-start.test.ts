import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { lengthFromFileName, startFromFileName } from '../../../decoders/audio/file-name-start.ts';

const iso = (name: string): string | null => startFromFileName(name)?.iso ?? null;

describe('startFromFileName: forms that recorders and people write (common practice)', () => {
  it.each([
    ['20310504T091207Z.wav', '2031-05-04T09:12:07.000Z', true, 1],
    ['20310504T111207+0200.wav', '2031-05-04T09:12:07.000Z', true, 1],
    ['20310504T041207-0500.flac', '2031-05-04T09:12:07.000Z', true, 1],
    ['20310504T0912Z.wav', '2031-05-04T09:12:00.000Z', true, 60],
    ['2031-05-04T09:12:07.250Z.wav', '2031-05-04T09:12:07.250Z', true, 1],
    ['2031-05-04T09-12-07Z.wav', '2031-05-04T09:12:07.000Z', true, 1],
    ['2031-05-04T14_42_07+05:30.ogg', '2031-05-04T09:12:07.000Z', true, 1],
    ['dunlin_20310504_091207Z.wav', '2031-05-04T09:12:07.000Z', true, 1],
    ['Dunlin-1 2031-05-04 09.12.07 UTC.wav', '2031-05-04T09:12:07.000Z', true, 1],
    ['pass 2031-05-04 at 09.12.07.m4a', '2031-05-04T09:12:07.000Z', false, 50_400],
    ['20310504_091207.wav', '2031-05-04T09:12:07.000Z', false, 50_400],
    ['20310504-091207_145920000Hz.wav', '2031-05-04T09:12:07.000Z', false, 50_400],
    ['145920000Hz_2031-05-04_09-12-07.wav', '2031-05-04T09:12:07.000Z', false, 50_400],
    ['REC_20310504_091207123.wav', '2031-05-04T09:12:07.123Z', false, 50_400],
    ['20310504091207.wav', '2031-05-04T09:12:07.000Z', false, 50_400],
    ['2031.05.04_09h12m07s.wav', '2031-05-04T09:12:07.000Z', false, 50_400],
    ['2031-05-04 09-12.wav', '2031-05-04T09:12:00.000Z', false, 50_400],
    ['20310504_0912UTC.wav', '2031-05-04T09:12:00.000Z', true, 60],
    ['/home/q1lark/2030-01-01/20310504T091207Z.sigmf-data', '2031-05-04T09:12:07.000Z', true, 1],
    ['C:\\passes\\20310504T091207Z.wav', '2031-05-04T09:12:07.000Z', true, 1],
    ['20310504T091207Z_20310504T092207Z.wav', '2031-05-04T09:12:07.000Z', true, 1],
    ['1935652327.wav', '2031-05-04T09:12:07.000Z', true, 1],
    ['rec-1935652327.wav', '2031-05-04T09:12:07.000Z', true, 1],
    ['dunlin-epoch1935652327250.wav', '2031-05-04T09:12:07.250Z', true, 1],
  ])('%s', (name, start, zoneStated, uncertaintySeconds) => {
    expect(startFromFileName(name)).toEqual({ iso: start, source: 'file name', zoneStated, uncertaintySeconds });
  });
});

describe('startFromFileName: what is no start', () => {
  it.each([
    'recording.wav',
    '',
    '2031-05-04.wav',
    '20310504.wav',
    'dunlin 2031-05-04 pass 3.wav',
    '20310504_0003.wav',
    '20310504-12.wav',
    '145920000.wav',
    '145920000_48000.wav',
    '145.920MHz.wav',
    '1296000000.wav',
    'beacon_1296100000Hz.wav',
    'sn1935652327.wav',
    'dunlin_1935652327.wav',
    '00012031050409120755.wav',
    '12031050409120.wav',
    '20311304_091207.wav',
    '20310230_091207.wav',
    '20310504_246007.wav',
    '20310504_096107.wav',
    '310504_091207.wav',
    '040531_0912.wav',
    '20310504T091207+1700.wav',
    'Take 2031-05.wav',
  ])('%s', (name) => expect(startFromFileName(name)).toBeNull());
});

describe('startFromFileName: any moment, any name', () => {
  const moment = fc.date({
    min: new Date('2000-01-01T00:00:00Z'),
    max: new Date('2099-12-31T23:59:59Z'),
    noInvalidDate: true,
  });
  const offset = fc.integer({ min: -48, max: 56 }).map((quarters) => 15 * quarters);
  const around = fc.constantFrom('', 'dunlin-1_', 'pass 3 ', '145920000Hz_', 'Q1LARK ');
  const behind = fc.constantFrom('', '_145920000Hz', ' afsk', '_part');

  it('reads what was written, in every form with a zone', () => {
    const two = (n: number): string => String(Math.trunc(Math.abs(n))).padStart(2, '0');
    fc.assert(
      fc.property(moment, offset, around, behind, fc.nat(3), (at, minutes, before, after, form) => {
        const seconds = Math.floor(at.getTime() / 1000) * 1000;
        const there = new Date(seconds + 60_000 * minutes).toISOString();
        fc.pre(there.startsWith('20'));
        const zone = minutes === 0 ? 'Z' : `${minutes < 0 ? '-' : '+'}${two(minutes / 60)}${two(minutes % 60)}`;
        const [date, time] = [there.slice(0, 10), there.slice(11, 19)];
        const basic = `${date.replaceAll('-', '')}T${time.replaceAll(':', '')}${zone}`;
        const text = [
          basic,
          `${date}T${time}${zone}`,
          `${date}T${time.replaceAll(':', '-')}${zone}`,
          `${date.replaceAll('-', '_')}T${time.replaceAll(':', '.')}${zone}`,
        ][form];
        expect(iso(`${before}${text}${after}.wav`)).toBe(new Date(seconds).toISOString());
      }),
      { numRuns: 2000, seed: 1 },
    );
  });

  it('never throws, and gives real moments only', () => {
    const digits = fc.stringMatching(/^[0-9TZ_:+. -]{0,40}$/);
    fc.assert(
      fc.property(fc.oneof(fc.string(), digits), (name) => {
        const start = startFromFileName(name);
        if (start !== null) expect(new Date(Date.parse(start.iso)).toISOString()).toBe(start.iso);
      }),
      { numRuns: 5000, seed: 2 },
    );
  });

  it('takes no number of up to nine digits for a time, with whatever words around', () => {
    fc.assert(
      fc.property(fc.nat(999_999_999), around, behind, (number, before, after) => {
        fc.pre(!/\d$/.test(before));
        expect(iso(`${before}${number}${after}.wav`)).toBeNull();
      }),
      { numRuns: 2000, seed: 3 },
    );
  });
});

describe('lengthFromFileName', () => {
  it.each([
    ['20310504_091200-20310504_093000.wav', 1080],
    ['pass 2031-05-04T09:12:00Z_to_2031-05-04T09:30:00Z.wav', 1080],
    ['20310504T235900Z--20310505T000100Z.flac', 120],
    ['20310504_091200 - 20310504_093000', 1080],
  ])('tells it where start and end stand one behind the other: %s', (name, seconds) => {
    expect(lengthFromFileName(name)).toBe(seconds);
  });

  it.each([
    ['20310504_091200.wav'],
    ['20310504_091200-000123.wav'],
    ['20310504_091200_exported_20310504_101500.wav'],
    // Local time and UTC.
    ['20310504_111200_20310504T091200Z.wav'],
    ['20310504_091200-20310504_081200.wav'],
    ['20310504_091200-20310704_091200.wav'],
  ])('does not take anything else for an end: %s', (name) => {
    expect(lengthFromFileName(name)).toBeNull();
  });
});
