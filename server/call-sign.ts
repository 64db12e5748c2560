import { FiveunitError } from '../decoders/errors.ts';

/** Up to three parts of letters and digits between slashes, for instance `Q1LARK/P`. */
export const CALL_SIGN_PATTERN = '^[A-Za-z0-9]{1,10}(/[A-Za-z0-9]{1,10}){0,2}$';

/** A call sign as it is stored: in upper case. Throws `call-sign-malformed`. */
export function normalCallSign(given: string): string {
  if (new RegExp(CALL_SIGN_PATTERN).test(given)) return given.toUpperCase();
  throw new FiveunitError(
    'call-sign-malformed',
    `${JSON.stringify(given.slice(0, 40))} is no call sign: give letters and digits, at most 10, for instance Q1LARK or Q1LARK/P`,
  );
}

/** The call sign without what a traveller adds before or after: its longest part. */
export function baseCallSign(callSign: string): string {
  return callSign.split('/').reduce((longest, part) => (part.length > longest.length ? part : longest));
}
