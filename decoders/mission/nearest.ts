/** The candidate that a mistyped word most likely meant; null when none is near. */
export function nearest(word: string, candidates: readonly string[]): string | null {
  const lower = word.toLowerCase().slice(0, 64);
  let best: string | null = null;
  let bestDistance = Math.min(3, Math.ceil(lower.length / 2)) + 1;
  for (const candidate of candidates) {
    const distance = editDistance(lower, candidate.toLowerCase());
    if (distance < bestDistance) {
      best = candidate;
      bestDistance = distance;
    }
  }
  return best;
}

/** Candidates as an author reads them, the likely one first: `"digits"? It may be one of digits, hex, letters`. */
export function oneOfHint(word: string, candidates: readonly string[]): string {
  const near = nearest(word, candidates);
  const list = candidates.length > 24 ? `${candidates.slice(0, 24).join(', ')}, ...` : candidates.join(', ');
  return near === null ? `one of ${list}` : `did you mean "${near}"? It may be one of ${list}`;
}

/** Levenshtein distance in which swapping two neighbours counts one. */
function editDistance(a: string, b: string): number {
  let beforeLast: number[] = [];
  let last = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const change = last[j - 1] + (a[i - 1] === b[j - 1] ? 0 : 1);
      row[j] = Math.min(change, last[j] + 1, row[j - 1] + 1);
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1])
        row[j] = Math.min(row[j], beforeLast[j - 2] + 1);
    }
    beforeLast = last;
    last = row;
  }
  return last[b.length];
}
