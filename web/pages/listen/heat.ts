type Colour = readonly [r: number, g: number, b: number];

/*
 * Lightness (CIE L*) rises evenly from 5 to 95 through blue, violet and orange, which all colour-blind people can follow.
 */
const ANCHORS: readonly Colour[] = [
  [6, 10, 28],
  [24, 26, 84],
  [78, 32, 122],
  [139, 41, 128],
  [200, 64, 101],
  [236, 112, 62],
  [247, 177, 66],
  [252, 243, 180],
];

const TABLE: readonly Colour[] = Array.from({ length: 256 }, (_, level) => {
  const at = (level / 255) * (ANCHORS.length - 1);
  const below = Math.min(ANCHORS.length - 2, Math.floor(at));
  const share = at - below;
  const mixed = [0, 1, 2].map((i) =>
    Math.round(ANCHORS[below][i] + share * (ANCHORS[below + 1][i] - ANCHORS[below][i])),
  );
  return [mixed[0], mixed[1], mixed[2]];
});

/** The colour of a strength from 0 to 255. */
export const heat = (strength: number): Colour => TABLE[strength] ?? TABLE[0];
