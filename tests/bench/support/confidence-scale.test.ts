import { expect, test } from 'vitest';
import { Random } from '../../../decoders/simulate/random.ts';
import { fitConfidenceScale, scaled } from './confidence-scale.ts';

/** Groups of statements whose log-odds are stated `overstated` times too large. */
function statements(overstated: number, groups: number) {
  const random = new Random(7);
  return Array.from({ length: groups }, () =>
    Array.from({ length: 5 }, () => {
      const logOdds = random.uniform(-1, 4);
      const right = random.uniform() < 1 / (1 + Math.exp(-logOdds));
      return { stated: 1 / (1 + Math.exp(-overstated * logOdds)), right };
    }),
  );
}

test.each([0.7, 1, 1.6])('log-odds stated %s times too large are found out within three errors', (overstated) => {
  const fit = fitConfidenceScale(statements(overstated, 2000));
  expect(fit).not.toBeNull();
  if (fit === null) return;
  expect(Math.abs(fit.scale - 1 / overstated)).toBeLessThan(3 * fit.standardError);
  expect(fit.standardError).toBeLessThan(0.05);
});

test('groups that share one fate are less sure than the same statements apart', () => {
  const apart = statements(1, 500);
  const together = apart.map(([first]) => [first, first, first, first, first]);
  const alone = together.flat().map((each) => [each]);
  const sure = fitConfidenceScale(alone);
  const unsure = fitConfidenceScale(together);
  expect(unsure?.scale).toBeCloseTo(sure?.scale ?? 0, 9);
  expect((unsure?.standardError ?? 0) / (sure?.standardError ?? 1)).toBeCloseTo(Math.sqrt(5), 6);
});

test('statements scaled by what was fitted need no scale any more', () => {
  const groups = statements(1.6, 500);
  const scale = fitConfidenceScale(groups)?.scale ?? 0;
  expect(fitConfidenceScale(groups.map((group) => scaled(group, scale)))?.scale).toBeCloseTo(1, 6);
});

test('statements that were all right or all wrong give no scale', () => {
  expect(fitConfidenceScale([[{ stated: 0.9, right: true }]])).toBeNull();
  expect(fitConfidenceScale([[{ stated: 0.9, right: false }]])).toBeNull();
});
