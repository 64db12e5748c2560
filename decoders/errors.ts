/**
 * The one shape of every error that a person may meet: a stable code, what was given, what may be, what to do.
 */
export class FiveunitError extends Error {
  readonly code: string;
  constructor(code: string, message: string, options?: { cause?: unknown }) {
    super(message, options);
    this.name = 'FiveunitError';
    this.code = code;
  }
}

/** The bytes are no recording that can be read. */
export class AudioError extends FiveunitError {
  constructor(code: string, message: string) {
    super(code, message);
    this.name = 'AudioError';
  }
}
