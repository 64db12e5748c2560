import { FiveunitError } from '../errors.ts';

/** Refuses options that cannot be simulated: throws `FiveunitError` with `code` unless `holds`. */
export function ensure(holds: boolean, code: string, message: string): asserts holds {
  if (!holds) throw new FiveunitError(code, message);
}
