import { describe, expect, it } from 'vitest';
import { DamageLog } from '../../../decoders/audio/damage-log.ts';

describe('DamageLog', () => {
  it('names each stretch with its place', () => {
    const log = new DamageLog();
    expect(log.problems()).toEqual([]);
    log.add(12.5, 12.75);
    log.add(60, 60);
    log.add(70, 71, 'doubtful');
    expect(log.problems()).toEqual([
      {
        code: 'damaged',
        message: 'The file is damaged from 12.50 to 12.75 s; that stretch was taken as silence.',
        atSeconds: 12.5,
      },
      { code: 'damaged', message: 'The file is damaged at 60.00 s; no sound was lost there.', atSeconds: 60 },
      {
        code: 'damaged',
        message: 'The file is damaged from 70.00 to 71.00 s; what could be read of that stretch may be noise.',
        atSeconds: 70,
      },
    ]);
  });

  it('sums up what is too much to be named', () => {
    const log = new DamageLog();
    for (let i = 0; i < 100_000; i++) log.add(i, i + 0.5);
    const problems = log.problems();
    expect(problems.length).toBeLessThan(30);
    const named = problems.length - 1;
    expect(problems[named].atSeconds).toBe(named);
    expect(problems[named].message).toContain(`${100_000 - named} further stretches`);
    expect(problems[named].message).toContain(`${((100_000 - named) / 2).toFixed(2)} s`);
  });
});
