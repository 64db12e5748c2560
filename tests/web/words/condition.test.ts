// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { boundsText, conditionOf } from '../../../web/words/condition.ts';
import { isoAt, NOW_MS, now, parameter } from '../support/scene.ts';

const plain = (text: string): string => text.replaceAll('\u202f', ' ');

describe('the sentence on how a satellite is', () => {
  it('says that it is well, and when it was heard', () => {
    expect(conditionOf(now(), NOW_MS)).toEqual({
      headline: 'Dunlin-1 is well. It was last heard 12 min ago by Q1LARK.',
      details: [],
    });
  });

  it('says when nobody known stands for what was heard last', () => {
    const lastHeard = { ...now().lastHeard, vouched: false } as ReturnType<typeof now>['lastHeard'];
    expect(conditionOf(now({ lastHeard }), NOW_MS).headline).toBe(
      'Dunlin-1 is well. It was last heard 12 min ago by Q1LARK, unvouched.',
    );
  });

  it('speaks of the past after a long silence', () => {
    const heard = { ...now().lastHeard, receivedAt: isoAt(3 * 86_400) } as ReturnType<typeof now>['lastHeard'];
    expect(conditionOf(now({ lastHeard: heard }), NOW_MS).headline).toBe(
      'Dunlin-1 was well when it was last heard, 3 days ago by Q1LARK.',
    );
    const acting = now({ lastHeard: heard, state: 'act', concerns: ['battery_voltage'] });
    expect(conditionOf(acting, NOW_MS).headline).toBe(
      'Dunlin-1 needed action: battery voltage was out of limits. That was 3 days ago by Q1LARK; nothing has been heard since.',
    );
  });

  it('claims nothing about a satellite that was never heard', () => {
    const silent = now({ lastHeard: null, state: 'unknown' });
    expect(conditionOf(silent, NOW_MS).headline).toBe('Nothing has been heard from Dunlin-1 yet.');
  });

  it('claims nothing when no reading can be held against a limit', () => {
    expect(conditionOf(now({ state: 'unknown' }), NOW_MS).headline).toBe(
      'Dunlin-1 was heard 12 min ago by Q1LARK, but nothing yet tells how it is.',
    );
  });

  it('names what is out of limits, its value and what is wanted', () => {
    const low = parameter({
      last: { ...parameter().last, value: 6.512, limit: 'hard' } as never,
      limit: {
        state: 'hard',
        since: isoAt(4 * 3600),
        persistence: 2,
        pending: null,
        soft: [7, 8.3],
        hard: [6.6, 8.45],
      },
    });
    const { headline, details } = conditionOf(
      now({ state: 'act', concerns: ['battery_voltage'], parameters: [low] }),
      NOW_MS,
    );
    expect(headline).toBe(
      'Dunlin-1 needs action: battery voltage is out of limits. It was last heard 12 min ago by Q1LARK.',
    );
    expect(details.map(plain)).toEqual([
      'Battery voltage is outside its hard limits, for 4 h now. It last read 6.51 V where 6.6 to 8.45 V is wanted.',
    ]);
  });

  it('says what does not count yet, and what only the unvouched say', () => {
    const pending = parameter({
      limit: {
        state: 'normal',
        since: null,
        persistence: 2,
        pending: { state: 'soft', transmissions: 1 },
        soft: [7, 8.3],
        hard: null,
      },
    });
    const rumour = parameter({
      parameter: 'temperature',
      name: 'Battery temperature',
      last: { ...parameter().last, vouched: false, limit: 'hard' } as never,
    });
    const { headline, details } = conditionOf(now({ parameters: [pending, rumour] }), NOW_MS);
    expect(headline).toContain('is well');
    expect(details).toEqual([
      'Battery voltage read outside its soft limits in the last 1 transmission; 2 in a row count.',
      'Unvouched reports put battery temperature outside limits; alone they raise no alarm.',
    ]);
  });

  it('says what is not known', () => {
    const parameters = [parameter(), parameter({ parameter: 'x', name: 'Panel temperature', last: null })];
    expect(conditionOf(now({ parameters, waitingForTime: 1 }), NOW_MS).details).toEqual([
      'Not known: panel temperature.',
      '1 frame waits outside: nobody has said when it was received.',
    ]);
  });
});

describe('bounds in words', () => {
  it('knows those that are open on a side', () => {
    expect(plain(boundsText([null, 620], 'mA'))).toBe('at most 620 mA');
    expect(plain(boundsText([-10, null], '°C', 1))).toBe('at least \u221210.0 °C');
    expect(plain(boundsText([7, 8.3], 'V'))).toBe('7 to 8.3 V');
  });
});
