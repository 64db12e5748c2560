import { describe, expect, it } from 'vitest';
import { leavesGaps, sureSeconds, uncertaintyAt } from '../../../decoders/audio/time-gaps.ts';

const problem = (code: string, atSeconds: number | null) => ({ code, message: '', atSeconds });
const seen = [problem('damaged', 3), problem('time-gaps', 70), problem('captures-apart', 40)];

describe('sureSeconds', () => {
  it('has no end where nothing is missing, or where its sender says so', () => {
    expect(sureSeconds(null, [problem('damaged', 3)])).toBe(Number.POSITIVE_INFINITY);
    expect(sureSeconds('continuous', seen)).toBe(Number.POSITIVE_INFINITY);
  });

  it('ends at the first gap that was seen, and after the first minutes where it was only said', () => {
    expect(sureSeconds(null, seen)).toBe(40);
    expect(sureSeconds('gaps', [])).toBe(120);
    expect(sureSeconds(undefined, [problem('time-gaps', null)])).toBe(120);
    // What was seen late may not be all.
    expect(sureSeconds(null, [problem('time-gaps', 400)])).toBe(120);
    expect([leavesGaps(seen), leavesGaps(seen.slice(0, 1))]).toEqual([true, false]);
    expect(leavesGaps([problem('time-jump', 4)])).toBe(true);
  });
});

describe('uncertaintyAt', () => {
  const recording = { startedAt: 0, uncertaintySeconds: 2, sureSeconds: 120, existedAt: 1_000_000 };

  it('is that of the start up to the first gap', () => {
    expect(uncertaintyAt(recording, 119)).toBe(2);
    expect(uncertaintyAt({ ...recording, uncertaintySeconds: null }, 119)).toBeNull();
  });

  it('reaches from there to when the recording was whole', () => {
    expect(uncertaintyAt(recording, 600)).toBe(2 + 400);
    expect(uncertaintyAt({ ...recording, uncertaintySeconds: null }, 600)).toBe(400);
    expect(uncertaintyAt({ ...recording, existedAt: 500_000 }, 600)).toBe(2);
  });
});
