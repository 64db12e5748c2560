import { join } from 'node:path';
import { expect, test } from 'vitest';
import { openSqliteStore } from '../../../../server/store/sqlite/open.ts';
import { temporaryDirectory } from '../../support/directory.ts';
import { missionChange, NOON, newFrame, reading } from '../../support/records.ts';
import { addFrame } from '../../support/store.ts';

test('what was stored is there after closing and opening again', async () => {
  const path = join(await temporaryDirectory(), 'fiveunit.db');
  const store = openSqliteStore(path);
  await store.saveMission(missionChange());
  const id = await addFrame(store, newFrame(NOON, [reading(7.9)]));
  await store.close();
  const again = openSqliteStore(path);
  expect(await again.frame(id)).toMatchObject({ mission: 'wren-1', receivedAt: NOON });
  await again.close();
});

test('readers of another connection see whole changes only, while one writes', async () => {
  const path = join(await temporaryDirectory(), 'fiveunit.db');
  const writer = openSqliteStore(path);
  const reader = openSqliteStore(path);
  await writer.saveMission(missionChange());
  const pairs = Array.from({ length: 40 }, (_, index) => index);
  const writing = (async () => {
    for (const index of pairs) {
      await addFrame(writer, newFrame(NOON + index, [reading(index), reading(index, { parameter: 'twin' })]));
      await new Promise((resolve) => setImmediate(resolve));
    }
  })();
  const query = { mission: 'wren-1', from: null, to: null, phase: 'flight', leastTrust: 'doubtful' } as const;
  let seen = 0;
  while (seen < pairs.length) {
    const { total } = await reader.series({ ...query, parameter: 'battery_voltage', vouchedOnly: false, points: 100 });
    const twin = await reader.series({ ...query, parameter: 'twin', vouchedOnly: false, points: 100 });
    expect(total).toBeGreaterThanOrEqual(seen);
    expect(twin.total).toBeGreaterThanOrEqual(total);
    seen = total;
    await new Promise((resolve) => setImmediate(resolve));
  }
  await writing;
  await reader.close();
  await writer.close();
});
