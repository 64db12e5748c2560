import type { Gain } from './gain.ts';

export interface OnAir {
  readonly startSeconds: number;
  readonly endSeconds: number;
}

/** A carrier that is on during `times` alone (in order, not overlapping), and goes over `path` where there is one. */
export class KeyedCarrier implements Gain {
  re = 0;
  im = 0;
  readonly #times: readonly OnAir[];
  readonly #path: Gain | null;
  /** Of the first time that is not yet over. */
  #next = 0;

  constructor(times: readonly OnAir[], path: Gain | null) {
    this.#times = times;
    this.#path = path;
  }

  moveTo(seconds: number): void {
    while (this.#next < this.#times.length && seconds >= this.#times[this.#next].endSeconds) this.#next++;
    const isOn = this.#next < this.#times.length && seconds >= this.#times[this.#next].startSeconds;
    this.#path?.moveTo(seconds);
    this.re = isOn ? (this.#path?.re ?? 1) : 0;
    this.im = isOn ? (this.#path?.im ?? 0) : 0;
  }
}
