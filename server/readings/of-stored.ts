import type { Reading } from '../../decoders/engineering/types.ts';
import type { Services } from '../services.ts';
import type { StoredFrame } from '../store/records.ts';
import { readFrames } from './read-frames.ts';

/** The readings of a stored frame. Those of a frame without a time stand in no trend, and are reckoned when asked for. */
export async function readingsOfStored(
  { store, catalog }: Pick<Services, 'store' | 'catalog'>,
  frame: StoredFrame,
): Promise<Reading[]> {
  const current = await catalog.current(frame.mission);
  if (current === null) return [];
  const { mission } = current;
  if (frame.receivedAt === null) {
    const [readings] = await readFrames(store, mission, frame.phase, [frame]);
    return readings;
  }
  const stored = await store.readingsOfFrame(frame.id);
  const units = new Map(mission.parameters.map(({ id, unit }) => [id, unit ?? null]));
  return stored.map(({ parameter, value, trust, confidence, limit, notes }) => ({
    parameter,
    value,
    unit: units.get(parameter) ?? null,
    trust,
    confidence,
    limit,
    notes,
  }));
}
