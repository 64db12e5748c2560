/** A stated probability and whether what it was said of was so. */
export interface Statement {
  readonly stated: number;
  readonly right: boolean;
}

export interface ConfidenceScale {
  /** What log-odds would have to be multiplied by to fit what was right; 1: they are as they should be, less: too sure. */
  readonly scale: number;
  /** Of the scale; statements of one group are not taken to be independent of each other. */
  readonly standardError: number;
}

/** A statement is never weighed as surer than this: of one it would otherwise take all. */
const SUREST = 1 - 1e-6;
const STEPS = 50;

/**
 * The one scale of all log-odds under which the statements were likeliest: temperature scaling (Guo et al., ICML 2017,
 * section 4.2; scale = 1 / T), by Newton's method, with the cluster-robust error of a logistic fit (Liang and Zeger, Biometrika
 * 1986). Groups are what shares one fate, such as the fields of a frame. Null where all or none were right: no scale is
 * likeliest.
 */
export function fitConfidenceScale(groups: readonly (readonly Statement[])[]): ConfidenceScale | null {
  const statements = groups.flat();
  if (statements.every(({ right }) => right) || statements.every(({ right }) => !right)) return null;
  let scale = 1;
  for (let step = 0; step < STEPS; step++) {
    let slope = 0;
    let curvature = 0;
    for (const statement of statements) {
      const x = logOdds(statement);
      const p = sigmoid(scale * x);
      slope += (Number(statement.right) - p) * x;
      curvature += p * (1 - p) * x * x;
    }
    if (curvature === 0) return null;
    // A step that would turn certainty round is a step too far.
    const next = Math.max(scale / 2, Math.min(2 * scale, scale + slope / curvature));
    const moved = Math.abs(next - scale);
    scale = next;
    if (moved < 1e-9) break;
  }
  return { scale, standardError: errorAt(scale, groups) };
}

/** The statements as they would be with their log-odds multiplied. */
export function scaled(statements: readonly Statement[], scale: number): readonly Statement[] {
  return statements.map((statement) => ({ ...statement, stated: sigmoid(scale * logOdds(statement)) }));
}

function errorAt(scale: number, groups: readonly (readonly Statement[])[]): number {
  let curvature = 0;
  let scatter = 0;
  for (const group of groups) {
    let slope = 0;
    for (const statement of group) {
      const x = logOdds(statement);
      const p = sigmoid(scale * x);
      slope += (Number(statement.right) - p) * x;
      curvature += p * (1 - p) * x * x;
    }
    scatter += slope * slope;
  }
  return Math.sqrt(scatter) / curvature;
}

function logOdds({ stated }: Statement): number {
  const p = Math.min(SUREST, Math.max(1 - SUREST, stated));
  return Math.log(p / (1 - p));
}

function sigmoid(x: number): number {
  return 1 / (1 + Math.exp(-x));
}
