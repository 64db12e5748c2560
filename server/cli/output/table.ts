/** Rows of cells as lines, each column as wide as its widest cell. */
export function aligned(rows: readonly (readonly string[])[]): string[] {
  const widths: number[] = [];
  for (const cells of rows) {
    for (const [column, cell] of cells.entries()) widths[column] = Math.max(widths[column] ?? 0, width(cell));
  }
  return rows.map((cells) =>
    cells
      .map((cell, column) => cell + ' '.repeat(widths[column] - width(cell)))
      .join('  ')
      .trimEnd(),
  );
}

function width(text: string): number {
  return [...text].length;
}
