/** A regular expression: a long run may be of some rows only. */
const CHOSEN = new RegExp(process.env.FIVEUNIT_BENCH_ROWS ?? '');

/** The rows whose name `FIVEUNIT_BENCH_ROWS` finds, each with its number among all, which its seeds may stand on. */
export function chosenRows<Row extends object>(
  rows: readonly Row[],
  nameOf: (row: Row) => string,
): (Row & { readonly number: number })[] {
  return rows.map((row, number) => ({ ...row, number })).filter((row) => CHOSEN.test(nameOf(row)));
}
