import { type Contrast, colourTable, contrastOf, type Rgb } from './colour-map.ts';
import type { SoundWindow } from './sound-window.ts';
import { ROWS } from './spectra.ts';
import { keyText, TILE_COLUMNS, type TileKey, tileWindow } from './tile-grid.ts';
import type { Tile } from './tile-store.ts';

interface PaintedTile {
  readonly tile: Tile;
  readonly colours: string;
  readonly canvas: HTMLCanvasElement;
}

/** Paints tiles where they stand in a window: time to the right, frequency up. Painted tiles are kept while they are shown. */
export class Painter {
  readonly #canvas: HTMLCanvasElement;
  #painted = new Map<string, PaintedTile>();

  constructor(canvas: HTMLCanvasElement) {
    this.#canvas = canvas;
  }

  /**
   * @param tiles what there is, coarse ones first: finer ones are painted over them.
   * @param wanted those that are shown in the end: the contrast is theirs.
   */
  paint(
    tiles: readonly Tile[],
    wanted: readonly TileKey[],
    window: SoundWindow,
    stops: readonly [Rgb, Rgb, Rgb],
    width: number,
    height: number,
  ): void {
    const scale = devicePixelRatio;
    const canvas = this.#canvas;
    canvas.width = Math.round(width * scale);
    canvas.height = Math.round(height * scale);
    const pen = canvas.getContext('2d');
    if (pen === null) return;
    const seconds = window.toSeconds - window.fromSeconds;
    const shown = tiles.filter(({ key }) => {
      const { fromSeconds, toSeconds } = tileWindow(key);
      return fromSeconds < window.toSeconds && toSeconds > window.fromSeconds;
    });
    const names = new Set(wanted.map(keyText));
    const exact = shown.filter(({ key }) => names.has(keyText(key)));
    const contrast = contrastOf((exact.length > 0 ? exact : shown).map(({ levels }) => levels));
    const kept = new Map<string, PaintedTile>();
    for (const tile of shown) {
      const painted = this.#paintedTile(tile, stops, contrast);
      kept.set(keyText(tile.key), painted);
      const { fromSeconds, toSeconds } = tileWindow(tile.key);
      const x = ((fromSeconds - window.fromSeconds) / seconds) * canvas.width;
      const end = ((toSeconds - window.fromSeconds) / seconds) * canvas.width;
      pen.drawImage(painted.canvas, x, 0, end - x, canvas.height);
    }
    this.#painted = kept;
  }

  #paintedTile(tile: Tile, stops: readonly [Rgb, Rgb, Rgb], contrast: Contrast): PaintedTile {
    const colours = JSON.stringify([stops, contrast]);
    const known = this.#painted.get(keyText(tile.key));
    if (known !== undefined && known.tile === tile && known.colours === colours) return known;
    const canvas = document.createElement('canvas');
    canvas.width = TILE_COLUMNS;
    canvas.height = ROWS;
    const pen = canvas.getContext('2d');
    if (pen !== null) {
      const image = pen.createImageData(TILE_COLUMNS, ROWS);
      fill(image.data, tile.levels, colourTable(stops, contrast));
      pen.putImageData(image, 0, 0);
    }
    return { tile, colours, canvas };
  }
}

function fill(pixels: Uint8ClampedArray, levels: Uint8Array, colours: Uint8ClampedArray): void {
  for (let column = 0; column < TILE_COLUMNS; column++) {
    for (let row = 0; row < ROWS; row++) {
      const from = 4 * levels[column * ROWS + row];
      const to = 4 * ((ROWS - 1 - row) * TILE_COLUMNS + column);
      pixels[to] = colours[from];
      pixels[to + 1] = colours[from + 1];
      pixels[to + 2] = colours[from + 2];
      pixels[to + 3] = colours[from + 3];
    }
  }
}
