/** As the server checks it, so that a slip is told before anything is sent. */
const PATTERN = /^[A-Z0-9]{2,10}(\/[A-Z0-9]{1,4}){0,2}$/;

/** A typed call sign in upper case; null when it cannot be one. */
export function readCallSign(typed: string): string | null {
  const text = typed.trim().toUpperCase();
  return PATTERN.test(text) ? text : null;
}

export const CALL_SIGN_HINT = 'Letters and digits, for instance Q1LARK or Q1LARK/P.';
