import { expect, test } from 'vitest';
import type { FrameQuery } from '../../../../server/store/records.ts';
import { decodedFrame, NOON, newFrame, reading } from '../../support/records.ts';
import { addFrame, storeWithMission } from '../../support/store.ts';

const everything: FrameQuery = {
  mission: 'wren-1',
  from: null,
  to: null,
  station: null,
  leastTrust: 'doubtful',
  phase: null,
  limit: 100,
  after: null,
};

test('the same line again gives the frames it gave before', async () => {
  const store = await storeWithMission();
  const line = { hash: new Uint8Array(32).fill(1), text: 'q0wren 7921', assumptions: ['upper case'], addedAt: NOON };
  const first = await store.addLine(line, [newFrame(NOON, [reading(7.9)]), newFrame(NOON, [])]);
  const second = await store.addLine(line, [newFrame(NOON, [reading(7.9)])]);
  expect(first.added).toBe(true);
  expect(second).toEqual({ frames: first.frames, added: false });
  const [{ source }] = first.frames;
  expect(source.kind === 'line' ? await store.line(source.line) : null).toEqual({
    text: 'q0wren 7921',
    assumptions: ['upper case'],
  });
});

test('lists run from the newest to the oldest, then those without a time, page after page without loss', async () => {
  const store = await storeWithMission();
  const times = [NOON, NOON, NOON + 1, null, NOON - 5, null];
  const ids: number[] = [];
  for (const time of times) ids.push(await addFrame(store, newFrame(time, [])));
  const expected = [ids[2], ids[1], ids[0], ids[4], ids[5], ids[3]];
  for (const limit of [1, 2, 4, 100]) {
    const seen: number[] = [];
    let after: FrameQuery['after'] = null;
    for (;;) {
      const page = await store.frames({ ...everything, limit, after });
      if (page.length === 0) break;
      seen.push(...page.map(({ id }) => id));
      const last = page[page.length - 1];
      after = { receivedAt: last.receivedAt, id: last.id };
    }
    expect(seen).toEqual(expected);
  }
});

test('lists are narrowed by time, station, trust and phase', async () => {
  const store = await storeWithMission();
  const a = await addFrame(store, newFrame(NOON, []));
  const b = await addFrame(
    store,
    newFrame(NOON + 1000, [], { station: 'Q2', decoded: decodedFrame({ trust: 'probable' }) }),
  );
  const c = await addFrame(
    store,
    newFrame(NOON + 2000, [], { phase: 'bench', decoded: decodedFrame({ trust: 'doubtful' }) }),
  );
  const ids = async (query: Partial<FrameQuery>) =>
    (await store.frames({ ...everything, ...query })).map(({ id }) => id);
  expect(await ids({ from: NOON + 1000 })).toEqual([c, b]);
  expect(await ids({ to: NOON + 1000 })).toEqual([b, a]);
  expect(await ids({ station: 'Q2' })).toEqual([b]);
  expect(await ids({ leastTrust: 'probable' })).toEqual([b, a]);
  expect(await ids({ leastTrust: 'confirmed' })).toEqual([a]);
  expect(await ids({ phase: 'bench' })).toEqual([c]);
  expect(await ids({ mission: 'robin-1' })).toEqual([]);
});

test('the last frame is the newest that is dated, in the phase and not doubtful', async () => {
  const store = await storeWithMission();
  expect(await store.lastFrame('wren-1', 'flight')).toBeNull();
  const good = await addFrame(store, newFrame(NOON, []));
  await addFrame(store, newFrame(NOON + 1, [], { decoded: decodedFrame({ trust: 'doubtful' }) }));
  await addFrame(store, newFrame(NOON + 2, [], { phase: 'rehearsal' }));
  await addFrame(store, newFrame(null, []));
  expect((await store.lastFrame('wren-1', 'flight'))?.id).toBe(good);
  expect(await store.framesWithoutTime('wren-1', 'flight')).toBe(1);
  expect(await store.frameCounts()).toEqual({ doubtful: 1, probable: 0, confirmed: 3 });
});
