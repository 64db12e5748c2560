import { type ApiProblem, asProblem } from '../api/problem.ts';
import { PIECE_SAMPLES, SOUND_RATE_HZ } from '../sound/rate.ts';
import type { SoundSource } from '../sound/source.ts';
import { Recent } from './recent.ts';
import type { SpectraJob } from './spectra.ts';
import { columnSeconds, isSampled, keyText, TILE_COLUMNS, type TileKey, tileWindow } from './tile-grid.ts';

/** A tile is 59 kB: so many are kept, whatever the length of the sound. */
const TILES_KEPT = 120;
const AT_ONCE = 3;
/** The longest window of a spectrum reaches so far beyond a column. */
const REACH_SECONDS = PIECE_SAMPLES / 2 / SOUND_RATE_HZ;

export interface Tile {
  readonly key: TileKey;
  /** `TILE_COLUMNS` columns of levels, see `spectraOf`. */
  readonly levels: Uint8Array;
}

/** The tiles of one sound: made when they are wanted, those that are wanted no more not at all. */
export class TileStore {
  readonly #source: SoundSource;
  readonly #make: (job: SpectraJob) => Promise<Uint8Array>;
  readonly #onChange: () => void;
  readonly #tiles = new Recent<Tile>(TILES_KEPT);
  readonly #underWay = new Set<string>();
  #wanted: readonly TileKey[] = [];
  #problem: ApiProblem | null = null;

  /** @param onChange hears when a tile is there, or a problem. */
  constructor(source: SoundSource, make: (job: SpectraJob) => Promise<Uint8Array>, onChange: () => void) {
    this.#source = source;
    this.#make = make;
    this.#onChange = onChange;
  }

  /** What went wrong last; nothing more is fetched until `retry`. */
  get problem(): ApiProblem | null {
    return this.#problem;
  }

  /** Whether anything that is wanted is still being made. */
  get busy(): boolean {
    return this.#underWay.size > 0;
  }

  get(key: TileKey): Tile | undefined {
    return this.#tiles.get(keyText(key));
  }

  /** All that are there, coarse ones first. */
  all(): Tile[] {
    return [...this.#tiles.values()].sort((a, b) => b.key.level - a.key.level);
  }

  want(keys: readonly TileKey[]): void {
    this.#wanted = keys;
    this.#begin();
  }

  retry(): void {
    this.#problem = null;
    this.#begin();
  }

  #begin(): void {
    for (const key of this.#wanted) {
      if (this.#problem !== null || this.#underWay.size >= AT_ONCE) return;
      const name = keyText(key);
      if (this.#underWay.has(name) || this.#tiles.get(name) !== undefined) continue;
      this.#underWay.add(name);
      this.#levelsOf(key)
        .then((levels) => this.#tiles.set(name, { key, levels }))
        .catch((error: unknown) => {
          this.#problem = asProblem(error);
        })
        .finally(() => {
          this.#underWay.delete(name);
          this.#begin();
          this.#onChange();
        });
    }
  }

  async #levelsOf(key: TileKey): Promise<Uint8Array> {
    const { fromSeconds, toSeconds } = tileWindow(key);
    if (isSampled(key.level)) {
      const samples = await this.#source.sample(fromSeconds, toSeconds, TILE_COLUMNS);
      return this.#make({ samples, first: 0, step: PIECE_SAMPLES, columns: TILE_COLUMNS, sampled: true });
    }
    const samples = await this.#source.read(fromSeconds - REACH_SECONDS, toSeconds + REACH_SECONDS);
    const step = columnSeconds(key.level) * SOUND_RATE_HZ;
    return this.#make({ samples, first: PIECE_SAMPLES / 2, step, columns: TILE_COLUMNS, sampled: false });
  }
}
