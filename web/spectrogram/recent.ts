/** Keeps what was used last, up to a number; what was not used for longest goes first. */
export class Recent<V> {
  readonly #most: number;
  readonly #kept = new Map<string, V>();

  constructor(most: number) {
    this.#most = most;
  }

  get(key: string): V | undefined {
    const value = this.#kept.get(key);
    if (value !== undefined) {
      this.#kept.delete(key);
      this.#kept.set(key, value);
    }
    return value;
  }

  set(key: string, value: V): void {
    this.#kept.delete(key);
    this.#kept.set(key, value);
    for (const oldest of this.#kept.keys()) {
      if (this.#kept.size <= this.#most) break;
      this.#kept.delete(oldest);
    }
  }

  delete(key: string): void {
    this.#kept.delete(key);
  }

  values(): IterableIterator<V> {
    return this.#kept.values();
  }
}
