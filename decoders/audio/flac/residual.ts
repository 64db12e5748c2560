import type { BitReader } from './bit-reader.ts';

/**
 * The residual of a subframe: what its predictor missed, in partitions with a Rice parameter each, or as plain numbers
 * where the parameter is the escape code (RFC 9639 section 9.2.7).
 *
 * @param out gets the residual from index `order` on, up to `blockSize`.
 * @returns false when the bits cannot be a residual.
 */
export function readResidual(reader: BitReader, order: number, blockSize: number, out: Int32Array): boolean {
  const method = reader.unsigned(2);
  if (method > 1) return false;
  const parameterBits = method === 0 ? 4 : 5;
  const escapeCode = 2 ** parameterBits - 1;
  const partitionOrder = reader.unsigned(4);
  const partitionSize = blockSize >> partitionOrder;
  if (partitionSize << partitionOrder !== blockSize || partitionSize < order) return false;
  for (let from = order, to = partitionSize; to <= blockSize; from = to, to += partitionSize) {
    const parameter = reader.unsigned(parameterBits);
    if (parameter === escapeCode) {
      const bits = reader.unsigned(5);
      for (let i = from; i < to; i++) out[i] = reader.signed(bits);
    } else {
      reader.rice(parameter, out, from, to);
    }
    if (reader.isPast) return true;
  }
  return true;
}
