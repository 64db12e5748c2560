/** Number of letters to insert, drop, change or swap with their neighbour to come from `a` to `b` (no letter twice). */
export function editDistance(a: string, b: string): number {
  let before: number[] = [];
  let last = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const changed = last[j - 1] + (a[i - 1] === b[j - 1] ? 0 : 1);
      const swapped = i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1] ? before[j - 2] + 1 : Infinity;
      row.push(Math.min(last[j] + 1, row[j - 1] + 1, changed, swapped));
    }
    before = last;
    last = row;
  }
  return last[b.length];
}

/** The candidate that takes the fewest changes; the first of equals. */
export function nearest<T>(word: string, candidates: readonly T[], nameOf: (candidate: T) => string): T | undefined {
  let best: T | undefined;
  let least = Infinity;
  for (const candidate of candidates) {
    const distance = editDistance(word.toLowerCase(), nameOf(candidate));
    if (distance < least) {
      least = distance;
      best = candidate;
    }
  }
  return best;
}
