import { describe, expect, it } from 'vitest';
import { startStopKeying } from '../../../decoders/simulate/keying.ts';
import teletype from '../../reference/teletype.json' with { type: 'json' };

describe('startStopKeying', () => {
  it('sends start, the least significant element first, stop (ITU-T V.4)', () => {
    // "E" in ITA2 is code 1: its first element alone is mark (CCITT S.1).
    const { steps } = startStopKeying([1], { baud: 50, stopElements: 1.5 });
    expect(steps.map((step) => step.tone)).toEqual(['space', 'mark', 'space', 'space', 'space', 'space', 'mark']);
    expect(steps[0].seconds).toBeCloseTo(0.02, 12);
    expect(steps[6].seconds).toBeCloseTo(0.03, 12);
  });

  it('puts a character of 7.5 elements at 45.45 baud into 165 ms', () => {
    const { characterStartSeconds, seconds } = startStopKeying([0, 0, 0], { baud: 1 / 0.022, stopElements: 1.5 });
    expect([...characterStartSeconds].map((s) => Math.round(s * 1e6))).toEqual([0, 165_000, 330_000]);
    expect(seconds).toBeCloseTo(0.495, 12);
  });

  // tests/reference/teletype.json, `timing_table`: plain arithmetic on the elements of NEETS module 17.
  it.each(teletype.timing_table)('keys $units_per_char elements at $baud Bd in $char_ms ms', (row) => {
    const { characterStartSeconds, steps } = startStopKeying([0, 0], {
      baud: row.baud,
      stopElements: row.stop_units,
    });
    expect(characterStartSeconds[1] * 1000).toBeCloseTo(row.char_ms, 3);
    expect(steps[0].seconds * 1000).toBeCloseTo(row.unit_ms, 3);
  });

  it('adds idle mark before, between and after', () => {
    const base = { baud: 100, stopElements: 1 };
    const fill = startStopKeying([0, 0], { ...base, leadMarkElements: 10, tailMarkElements: 5, gapElements: [0, 2.5] });
    expect(fill.steps[0]).toEqual({ tone: 'mark', seconds: 0.1 });
    expect(fill.characterStartSeconds[0]).toBeCloseTo(0.1, 12);
    expect(fill.characterStartSeconds[1]).toBeCloseTo(0.195, 12);
    expect(fill.seconds).toBeCloseTo(0.315, 12);
    const called = startStopKeying([0, 0], { ...base, gapElements: (index) => index });
    expect(called.characterStartSeconds[1]).toBeCloseTo(0.08, 12);
  });

  it.each([32, -1, 1.5, Number.NaN])('refuses %d as a code', (code) => {
    expect(() => startStopKeying([0, code], { baud: 50, stopElements: 1 })).toThrow(
      expect.objectContaining({ code: 'bad-code' }),
    );
  });
});
