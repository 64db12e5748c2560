import { AudioError } from '../errors.ts';

/** An error that a reader met once is met again: nothing can be read after it. */
export class LastingFailure {
  #failure: AudioError | null = null;
  readonly #onFailure: () => void;

  /** @param onFailure lets go of what is needed no more. */
  constructor(onFailure: () => void = () => {}) {
    this.#onFailure = onFailure;
  }

  /** Reads on, unless reading has failed before. @throws AudioError the first that was met, each time. */
  guard(read: () => void): void {
    if (this.#failure !== null) throw this.#failure;
    try {
      read();
    } catch (error) {
      if (error instanceof AudioError) {
        this.#failure = error;
        this.#onFailure();
      }
      throw error;
    }
  }
}
