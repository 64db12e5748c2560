/** Wants all the memory there is. */
export default function greedy() {
  const kept = [];
  for (;;) kept.push(new Array(10_000).fill({}));
}
