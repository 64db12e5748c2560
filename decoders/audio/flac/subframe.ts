import type { BitReader } from './bit-reader.ts';
import { FIXED, type Predictor, readPredictor, restore, restoreWide } from './predictor.ts';
import { readResidual } from './residual.ts';

/** What a subframe says of itself (RFC 9639 section 9.2.1). */
interface SubframeHeader {
  readonly kind: 'constant' | 'verbatim' | 'fixed' | 'linear';
  /** Samples that stand plainly before the predictor begins. */
  readonly order: number;
  /** Low bits that are zero in every sample and left out. */
  readonly wastedBits: number;
}

/**
 * Samples of one channel of a frame, of at most 32 bits, into `out`.
 *
 * @returns false when the bits cannot be a subframe.
 */
export function readSubframe(reader: BitReader, bits: number, blockSize: number, out: Int32Array): boolean {
  const header = readSubframeHeader(reader, bits);
  if (header === null) return false;
  const { kind, order, wastedBits } = header;
  const kept = bits - wastedBits;
  if (kind === 'constant') {
    out.fill(reader.signed(kept), 0, blockSize);
  } else if (kind === 'verbatim') {
    for (let i = 0; i < blockSize; i++) out[i] = reader.signed(kept);
  } else {
    if (order > blockSize) return false;
    for (let i = 0; i < order; i++) out[i] = reader.signed(kept);
    const predictor = predictorOf(reader, header);
    if (predictor === null || !readResidual(reader, order, blockSize, out)) return false;
    restore(out, blockSize, predictor, kept);
  }
  if (wastedBits > 0) for (let i = 0; i < blockSize; i++) out[i] <<= wastedBits;
  return true;
}

/**
 * The same for samples of up to 33 bits, which a difference of two 32-bit channels has.
 *
 * @param residual room for the residual, which has 32 bits at most.
 */
export function readWideSubframe(
  reader: BitReader,
  bits: number,
  blockSize: number,
  residual: Int32Array,
  out: Float64Array,
): boolean {
  const header = readSubframeHeader(reader, bits);
  if (header === null) return false;
  const { kind, order, wastedBits } = header;
  const kept = bits - wastedBits;
  if (kind === 'constant') {
    out.fill(reader.signed(kept), 0, blockSize);
  } else if (kind === 'verbatim') {
    for (let i = 0; i < blockSize; i++) out[i] = reader.signed(kept);
  } else {
    if (order > blockSize) return false;
    for (let i = 0; i < order; i++) out[i] = reader.signed(kept);
    const predictor = predictorOf(reader, header);
    if (predictor === null || !readResidual(reader, order, blockSize, residual)) return false;
    restoreWide(out, residual, blockSize, predictor);
  }
  if (wastedBits > 0) for (let i = 0; i < blockSize; i++) out[i] *= 2 ** wastedBits;
  return true;
}

function readSubframeHeader(reader: BitReader, bits: number): SubframeHeader | null {
  if (reader.unsigned(1) !== 0) return null;
  const type = reader.unsigned(6);
  const wastedBits = reader.unsigned(1) === 1 ? reader.unary() + 1 : 0;
  if (wastedBits >= bits) return null;
  if (type === 0) return { kind: 'constant', order: 0, wastedBits };
  if (type === 1) return { kind: 'verbatim', order: 0, wastedBits };
  if (type >= 8 && type <= 12) return { kind: 'fixed', order: type - 8, wastedBits };
  if (type >= 32) return { kind: 'linear', order: type - 31, wastedBits };
  return null;
}

function predictorOf(reader: BitReader, { kind, order }: SubframeHeader): Predictor | null {
  return kind === 'fixed' ? FIXED[order] : readPredictor(reader, order);
}
