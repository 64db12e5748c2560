import { type Signal, signal } from '@preact/signals';
import { type ApiProblem, asProblem } from '../api/problem.ts';
import { SOUND_RATE_HZ } from './rate.ts';
import type { SoundSource } from './source.ts';

/** So much is fetched and handed to the sound card at once, and so long before it is needed. */
const PIECE_SECONDS = 8;
const AHEAD_SECONDS = 4;

let context: AudioContext | null = null;
/** One sound plays at a time on a page. */
let playing: SoundPlayer | null = null;

/** Plays a source of any length from any place, piece by piece without a gap. Its place is kept while it rests. */
export class SoundPlayer {
  /** Seconds from the start of the recording. */
  readonly place: Signal<number>;
  readonly plays = signal(false);
  readonly problem = signal<ApiProblem | null>(null);
  readonly source: SoundSource;
  #nodes: AudioBufferSourceNode[] = [];
  /** Where in the recording the clock of the sound card was zero. */
  #origin = 0;
  #scheduledUntil = 0;
  #fetching = false;
  /** Counts up when what was scheduled no longer counts. */
  #round = 0;

  constructor(source: SoundSource) {
    this.source = source;
    this.place = signal(source.startSeconds);
  }

  toggle(): void {
    if (this.plays.peek()) this.rest();
    else void this.play();
  }

  async play(): Promise<void> {
    if (playing !== this) playing?.rest();
    playing = this;
    context ??= new AudioContext();
    this.problem.value = null;
    if (this.place.peek() >= this.source.endSeconds - 0.01) this.place.value = this.source.startSeconds;
    this.plays.value = true;
    await context.resume();
    this.#begin();
  }

  rest(): void {
    this.#silence();
    this.plays.value = false;
  }

  /** Goes to a place, and plays on from there if it plays. */
  seek(seconds: number): void {
    const { startSeconds, endSeconds } = this.source;
    this.place.value = Math.min(Math.max(seconds, startSeconds), endSeconds);
    if (this.plays.peek()) this.#begin();
  }

  #silence(): void {
    this.#round++;
    for (const node of this.#nodes) node.stop();
    this.#nodes = [];
  }

  #begin(): void {
    if (context === null) return;
    this.#silence();
    this.#scheduledUntil = this.place.peek();
    this.#fetching = false;
    this.#origin = this.#scheduledUntil - context.currentTime;
    this.#turn(this.#round);
  }

  /** What is done before each picture: fetch ahead, say where the sound is, end. */
  #turn(round: number): void {
    if (context === null || round !== this.#round) return;
    const now = this.#origin + context.currentTime;
    if (now - this.#scheduledUntil < 0) this.place.value = Math.max(this.place.peek(), now);
    if (now >= this.source.endSeconds) {
      this.rest();
      this.place.value = this.source.endSeconds;
      return;
    }
    if (!this.#fetching && this.#scheduledUntil < Math.min(now + AHEAD_SECONDS, this.source.endSeconds)) {
      void this.#schedule(context, round);
    }
    requestAnimationFrame(() => this.#turn(round));
  }

  async #schedule(card: AudioContext, round: number): Promise<void> {
    this.#fetching = true;
    const from = this.#scheduledUntil;
    const to = Math.min(from + PIECE_SECONDS, this.source.endSeconds);
    try {
      const samples = await this.source.read(from, to);
      if (round !== this.#round) return;
      const buffer = card.createBuffer(1, Math.max(1, samples.length), SOUND_RATE_HZ);
      buffer.getChannelData(0).set(samples);
      const node = card.createBufferSource();
      node.buffer = buffer;
      node.connect(card.destination);
      // what came too late moves everything after it
      if (from - this.#origin < card.currentTime) this.#origin = from - card.currentTime;
      node.start(from - this.#origin);
      this.#nodes = [...this.#nodes.slice(-2), node];
      this.#scheduledUntil = to;
      this.#fetching = false;
    } catch (error) {
      if (round !== this.#round) return;
      this.problem.value = asProblem(error);
      this.rest();
    }
  }
}
