import { FiveunitError } from '../../decoders/errors.ts';

/** Exit codes: done; nothing found or not all done; wrong use or unreadable input. */
export const exitCode = { done: 0, incomplete: 1, refused: 2 } as const;
export type ExitCode = (typeof exitCode)[keyof typeof exitCode];

/** The worse of two outcomes. */
export function worse(a: ExitCode, b: ExitCode): ExitCode {
  return a > b ? a : b;
}

/** Ends a command with one line on standard error. */
export class CommandError extends FiveunitError {
  readonly exitCode: ExitCode;
  constructor(code: string, message: string, exit: ExitCode = exitCode.refused) {
    super(code, message);
    this.name = 'CommandError';
    this.exitCode = exit;
  }
}
