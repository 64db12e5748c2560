/** What a path does to a sine: a complex factor that changes with time. */
export interface Gain {
  readonly re: number;
  readonly im: number;
  /** Sets `re` and `im` to the factor at a time, in seconds. Times may not go back. */
  moveTo(seconds: number): void;
}
