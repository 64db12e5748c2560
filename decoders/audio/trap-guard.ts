/** A decoder's call into WebAssembly that may be tried with any bytes. */
export interface Guarded<In, Out> {
  /** Null once the call has trapped: from then on the memory behind it cannot be trusted, and it is not called again. */
  run(input: In): Out | null;
  /** Lets go of the memory behind it. Does nothing the second time. */
  free(): void;
}

/** Guards `call` against traps (WebAssembly's RuntimeError, and what glue code throws at bytes that it cannot take). */
export function guardTraps<In, Out>(call: (input: In) => Out, free: () => void): Guarded<In, Out> {
  let isUsable = true;
  return {
    run(input) {
      if (!isUsable) return null;
      try {
        return call(input);
      } catch {
        isUsable = false;
        return null;
      }
    },
    free() {
      if (isUsable) free();
      isUsable = false;
    },
  };
}
