/** Colour as red, green and blue, 0 to 255. */
export type Rgb = readonly [number, number, number];

/** Levels of a byte that stand at the ends of the colours: below is paper, above is full ink. */
export interface Contrast {
  readonly low: number;
  readonly high: number;
}

/** Single spectra of noise scatter so far above their median, 5 dB (common practice): up to there is paper. */
const ABOVE_NOISE = 10;
/**
 * From paper to ink: at least 20 dB, so that noise alone does not look like a signal, and at most 30 dB, so that a voice does
 * not hide a weak burst beside it.
 */
const LEAST_SPAN = 40;
const MOST_SPAN = 60;

/** Noise is paper, what stands far above it is ink: found by counting the levels of what is to be shown. */
export function contrastOf(tiles: Iterable<Uint8Array>): Contrast {
  const counts = new Float64Array(256);
  let total = 0;
  for (const levels of tiles) {
    for (let i = 0; i < levels.length; i += 7) {
      // Where there is no sound at all nothing is measured.
      if (levels[i] === 0) continue;
      counts[levels[i]]++;
      total++;
    }
  }
  const at = (share: number): number => {
    let seen = 0;
    for (let level = 0; level < 256; level++) {
      seen += counts[level];
      if (seen >= share * total && total > 0) return level;
    }
    return 255;
  };
  const low = total === 0 ? 0 : Math.min(255, at(0.5) + ABOVE_NOISE);
  return { low, high: Math.min(Math.max(at(0.998), low + LEAST_SPAN), low + MOST_SPAN) };
}

/**
 * The colours of all 256 levels, packed as a canvas takes them (RGBA bytes): from one colour through another to a third,
 * mixed in Oklab and so that the lightness changes evenly all the way: the middle one must lie between the others in it.
 */
export function colourTable(stops: readonly [Rgb, Rgb, Rgb], { low, high }: Contrast): Uint8ClampedArray {
  const [from, through, to] = stops.map(oklabOf);
  const bend = (through[0] - from[0]) / (to[0] - from[0]);
  const table = new Uint8ClampedArray(4 * 256);
  for (let level = 0; level < 256; level++) {
    const share = Math.min(1, Math.max(0, (level - low) / (high - low)));
    const [a, b, part] = share < bend ? [from, through, share / bend] : [through, to, (share - bend) / (1 - bend)];
    table.set(rgbOf(a.map((x, i) => x + (b[i] - x) * part)), 4 * level);
    table[4 * level + 3] = 255;
  }
  return table;
}

// Oklab: B. Ottosson, "A perceptual color space for image processing", 2020; matrices from there (from memory).
function oklabOf(rgb: Rgb): number[] {
  const [r, g, b] = rgb.map((value) => {
    const c = value / 255;
    return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  });
  const l = Math.cbrt(0.4122214708 * r + 0.5363325363 * g + 0.0514459929 * b);
  const m = Math.cbrt(0.2119034982 * r + 0.6806995451 * g + 0.1073969566 * b);
  const s = Math.cbrt(0.0883024619 * r + 0.2817188376 * g + 0.6299787005 * b);
  return [
    0.2104542553 * l + 0.793617785 * m - 0.0040720468 * s,
    1.9779984951 * l - 2.428592205 * m + 0.4505937099 * s,
    0.0259040371 * l + 0.7827717662 * m - 0.808675766 * s,
  ];
}

function rgbOf([L, a, b]: readonly number[]): number[] {
  const l = (L + 0.3963377774 * a + 0.2158037573 * b) ** 3;
  const m = (L - 0.1055613458 * a - 0.0638541728 * b) ** 3;
  const s = (L - 0.0894841775 * a - 1.291485548 * b) ** 3;
  return [
    4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s,
    -1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s,
    -0.0041960863 * l - 0.7034186147 * m + 1.707614701 * s,
  ].map((c) => 255 * (c <= 0.0031308 ? 12.92 * c : 1.055 * Math.max(c, 0) ** (1 / 2.4) - 0.055));
}
