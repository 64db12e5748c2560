import { expect, test } from 'vitest';
import { compileMission } from '../../../../decoders/frames/compiled-mission.ts';
import { senderPaths } from '../../../../decoders/frames/deep/sender-paths.ts';
import { missionOf } from '../../support/missions.ts';

test('where a layout may go on in several ways after a field, every way still comes to an end', () => {
  const optional = (label: string, field: string) => ({ optional: [{ text: ` ${label}` }, { field, digits: 3 }] });
  const mission = missionOf({
    a: [{ text: 'Q0DUN ' }, { field: 'a', digits: 4 }, optional('T', 't'), optional('P', 'p'), { text: ' K' }],
  });
  const [{ graph }] = compileMission(mission);
  // Q0DUN, 0183, T976, P058, K with their spaces and shifts.
  expect(senderPaths(graph).codesAt.length).toBeGreaterThan(20);
  expect(senderPaths(graph).codesAt.length).toBeLessThan(40);
});
