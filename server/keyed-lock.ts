/** Lets one piece of work at a time do something with one thing, in the order of asking. */
export class KeyedLock {
  readonly #last = new Map<string, Promise<void>>();

  async run<T>(key: string, work: () => Promise<T>): Promise<T> {
    const before = this.#last.get(key);
    const { promise: mine, resolve: done } = withResolvers();
    this.#last.set(key, mine);
    try {
      await before;
      return await work();
    } finally {
      done();
      if (this.#last.get(key) === mine) this.#last.delete(key);
    }
  }
}

function withResolvers(): { promise: Promise<void>; resolve: () => void } {
  let resolve = () => {};
  const promise = new Promise<void>((settle) => {
    resolve = settle;
  });
  return { promise, resolve };
}
