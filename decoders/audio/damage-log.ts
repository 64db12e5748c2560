import type { AudioProblem } from './types.ts';

/** So many stretches are named one by one; of a file that is damaged all over the rest is summed up. */
const MOST_NAMED = 20;

const TAKEN = {
  silence: 'that stretch was taken as silence',
  doubtful: 'what could be read of that stretch may be noise',
};

interface Stretch {
  readonly fromSeconds: number;
  readonly toSeconds: number;
  readonly content: Content;
}

/** What stands in place of what was recorded: silence, or what could be read, which may be noise. */
type Content = keyof typeof TAKEN;

/** Stretches of a recording that could not be read, or not for certain. Memory does not grow with their number. */
export class DamageLog {
  readonly #named: Stretch[] = [];
  #further = 0;
  #furtherSeconds = 0;
  #furtherFrom = 0;

  /** Takes the next stretch, in the order of the recording. An empty one is damage that cost nothing but bytes. */
  add(fromSeconds: number, toSeconds: number, content: Content = 'silence'): void {
    if (this.#named.length < MOST_NAMED) {
      this.#named.push({ fromSeconds, toSeconds, content });
      return;
    }
    if (this.#further === 0) this.#furtherFrom = fromSeconds;
    this.#further++;
    this.#furtherSeconds += toSeconds - fromSeconds;
  }

  /** One `damaged` problem a stretch, and one for all beyond the first few. */
  problems(): AudioProblem[] {
    const problems = this.#named.map(({ fromSeconds, toSeconds, content }) => ({
      code: 'damaged',
      message:
        toSeconds > fromSeconds
          ? `The file is damaged from ${fromSeconds.toFixed(2)} to ${toSeconds.toFixed(2)} s; ${TAKEN[content]}.`
          : `The file is damaged at ${fromSeconds.toFixed(2)} s; no sound was lost there.`,
      atSeconds: fromSeconds,
    }));
    if (this.#further > 0) {
      const message =
        `${this.#further} further stretches are damaged, ${this.#furtherSeconds.toFixed(2)} s altogether; ` +
        'they were taken as silence or may be noise. Copy the file again if you can.';
      problems.push({ code: 'damaged', message, atSeconds: this.#furtherFrom });
    }
    return problems;
  }
}
