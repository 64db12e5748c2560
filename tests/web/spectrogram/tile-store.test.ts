// @vitest-environment node
import { describe, expect, it, vi } from 'vitest';
import type { SoundSource } from '../../../web/sound/source.ts';
import { ROWS, type SpectraJob, spectraOf } from '../../../web/spectrogram/spectra.ts';
import { TILE_COLUMNS, tileWindow } from '../../../web/spectrogram/tile-grid.ts';
import { TileStore } from '../../../web/spectrogram/tile-store.ts';

/** Sound whose pitch is 1000 Hz, but 2000 Hz from the tenth second on. */
function sound(): SoundSource & { readonly asked: string[] } {
  const asked: string[] = [];
  const wave = (seconds: number): number => Math.sin(2 * Math.PI * (seconds < 10 ? 1000 : 2000) * seconds);
  return {
    asked,
    startSeconds: 0,
    endSeconds: 7200,
    async read(from, to) {
      asked.push(`read ${from.toFixed(3)} to ${to.toFixed(3)}`);
      const first = Math.round(from * 8000);
      return Float32Array.from({ length: Math.round(to * 8000) - first }, (_, i) => wave((first + i) / 8000));
    },
    async sample(from, to, pieces) {
      asked.push(`sample ${from} to ${to}`);
      const part = (to - from) / pieces;
      return Float32Array.from({ length: pieces * 512 }, (_, i) =>
        wave(from + (Math.floor(i / 512) + 0.5) * part + ((i % 512) - 256) / 8000),
      );
    },
  };
}

const hzAt = (levels: Uint8Array, column: number): number => {
  const rows = [...levels.subarray(column * ROWS, (column + 1) * ROWS)];
  return 15.625 * rows.indexOf(Math.max(...rows));
};

describe('the tiles of a sound', () => {
  it.each([0, 3, 5, 8])('show each moment where it stands, level %i', async (level) => {
    const store = new TileStore(
      sound(),
      async (job) => spectraOf(job),
      () => {},
    );
    const index = level === 0 ? 9 : 0;
    store.want([{ level, index }]);
    await vi.waitFor(() => expect(store.get({ level, index })).toBeDefined());
    const levels = store.get({ level, index })?.levels ?? new Uint8Array();
    const { fromSeconds, toSeconds } = tileWindow({ level, index });
    for (const column of [0, 20, 100, 180, TILE_COLUMNS - 1]) {
      const middle = fromSeconds + ((column + 0.5) / TILE_COLUMNS) * (toSeconds - fromSeconds);
      if (Math.abs(middle - 10) < 0.1) continue;
      expect(Math.abs(hzAt(levels, column) - (middle < 10 ? 1000 : 2000))).toBeLessThan(20);
    }
  });

  it('are made once, and those wanted no more are not begun', async () => {
    const source = sound();
    const waiting: (() => void)[] = [];
    const make = (job: SpectraJob) =>
      new Promise<Uint8Array>((resolve) => waiting.push(() => resolve(spectraOf({ ...job, columns: 1 }))));
    const store = new TileStore(source, make, () => {});
    store.want(Array.from({ length: 20 }, (_, index) => ({ level: 0, index })));
    await vi.waitFor(() => expect(waiting).toHaveLength(3));
    store.want([{ level: 0, index: 1 }]);
    for (const done of waiting) done();
    await vi.waitFor(() => expect(store.busy).toBe(false));
    store.want([{ level: 0, index: 1 }]);
    expect(source.asked).toHaveLength(3);
  });

  it('stop at a problem until it is tried again', async () => {
    const source = sound();
    let fails = true;
    const failing: SoundSource = {
      ...source,
      read: (from, to) => (fails ? Promise.reject(new Error('no network')) : source.read(from, to)),
    };
    let changes = 0;
    const store = new TileStore(
      failing,
      async (job) => spectraOf(job),
      () => {
        changes++;
      },
    );
    store.want([{ level: 0, index: 0 }]);
    await vi.waitFor(() => expect(store.problem?.message).toContain('no network'));
    expect(changes).toBe(1);
    fails = false;
    store.want([{ level: 0, index: 0 }]);
    expect(store.busy).toBe(false);
    store.retry();
    await vi.waitFor(() => expect(store.get({ level: 0, index: 0 })).toBeDefined());
    expect(store.problem).toBeNull();
  });
});
