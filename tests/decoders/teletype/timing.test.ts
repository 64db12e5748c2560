import { describe, expect, test } from 'vitest';
import { Random } from '../../../decoders/simulate/random.ts';
import { fillHoles, findTiming, STEPS_PER_ELEMENT, straighten } from '../../../decoders/teletype/timing.ts';
import { elementsOf } from '../support/soft.ts';

const STRENGTH = 8;

/** Evidence of codes keyed with their first start element at `at`, each `steps` (or as given) after the last. */
function evidenceOf(codes: readonly number[], at: number, steps: number | readonly number[], strength = STRENGTH) {
  const starts = codes.map((_, i) =>
    typeof steps === 'number' ? at + i * steps : at + steps.slice(0, i).reduce((a, b) => a + b, 0),
  );
  const count = starts[starts.length - 1] + 40 * STEPS_PER_ELEMENT;
  // +1 where mark is keyed, -1 where space is, 0 where the sender is off.
  const keyed = new Float64Array(count + 2 * STEPS_PER_ELEMENT);
  keyed.fill(1, at - 5 * STEPS_PER_ELEMENT, starts[starts.length - 1] + 9 * STEPS_PER_ELEMENT);
  codes.forEach((code, i) => {
    elementsOf(code).forEach((mark, e) => {
      const from = starts[i] + e * STEPS_PER_ELEMENT;
      keyed.fill(mark === 1 ? 1 : -1, from, from + STEPS_PER_ELEMENT);
    });
  });
  const share = (from: number, length: number, sign: number) => {
    let sum = 0;
    for (let g = from; g < from + length; g++) sum += keyed[g] === sign ? 1 : 0;
    return sum / length;
  };
  const evidence = (part: number) => strength * (2 * part - 1);
  const rows = (sign: number) =>
    Float64Array.from({ length: count }, (_, g) => evidence(share(g, STEPS_PER_ELEMENT, sign)));
  const rest = Float64Array.from({ length: count }, (_, g) => evidence(keyed[g] === 1 ? 1 : 0) / STEPS_PER_ELEMENT);
  return { starts, evidence: { mark: rows(1), space: rows(-1), rest, count } };
}

function randomCodes(count: number, seed: number): number[] {
  const random = new Random(seed);
  return Array.from({ length: count }, () => random.integer(32));
}

describe('findTiming', () => {
  test.each([7, 7.5, 8])('finds every start of a regular sender, %d elements a character', (elements) => {
    const steps = elements * STEPS_PER_ELEMENT;
    const { starts, evidence } = evidenceOf(randomCodes(40, 3), 300, steps);
    const path = findTiming(evidence, { characterSteps: steps });
    expect(Array.from(path.starts)).toEqual(starts);
    expect(path.evidence).toBeGreaterThan(0);
  });

  test('follows irregular gaps between characters', () => {
    const random = new Random(8);
    const steps = Array.from({ length: 30 }, () => 7 * STEPS_PER_ELEMENT + random.integer(3 * STEPS_PER_ELEMENT));
    const { starts, evidence } = evidenceOf(randomCodes(30, 4), 300, steps);
    const path = findTiming(evidence, { characterSteps: 7.5 * STEPS_PER_ELEMENT });
    expect(path.starts.length).toBe(starts.length);
    path.starts.forEach((start, i) => {
      expect(Math.abs(start - starts[i])).toBeLessThan(STEPS_PER_ELEMENT / 4);
    });
  });

  test('finds nothing where nothing is', () => {
    const zero = {
      mark: new Float64Array(3000).fill(-3),
      space: new Float64Array(3000).fill(-3),
      rest: new Float64Array(3000).fill(-0.1),
      count: 3000,
    };
    expect(findTiming(zero, { characterSteps: 165 }).starts.length).toBe(0);
  });
});

test('fillHoles keeps the count of characters over a short fade', () => {
  const path = {
    starts: Float64Array.from([0, 165, 330, 825, 990]),
    regular: Uint8Array.from([0, 1, 1, 0, 1]),
    evidence: 9,
  };
  expect(Array.from(fillHoles(path, 165).starts)).toEqual([0, 165, 330, 495, 660, 825, 990]);
});

test('fillHoles leaves a gap alone that is no whole number of characters', () => {
  const path = { starts: Float64Array.from([0, 165, 410]), regular: Uint8Array.from([0, 1, 0]), evidence: 9 };
  expect(fillHoles(path, 165).starts.length).toBe(3);
});

test('straighten lays jittered starts on their line, and only these', () => {
  const regular = Uint8Array.from([0, 1, 1, 1, 1, 1, 1, 1]);
  const jittered = Float64Array.from([0, 167, 330, 494, 661, 825, 989, 1155]);
  const straight = straighten({ starts: jittered, regular, evidence: 1 });
  for (let i = 1; i < straight.length; i++) expect(straight[i] - straight[i - 1]).toBeCloseTo(165, 0);
  const bent = Float64Array.from([0, 165, 330, 495, 660, 840, 1020, 1200]);
  expect(straighten({ starts: bent, regular, evidence: 1 })).toEqual(bent);
});
