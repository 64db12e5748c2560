import { describe, expect, it } from 'vitest';
import { MarkerScan } from '../../../../decoders/audio/flac/marker-scan.ts';
import { bytes } from '../wav-file.ts';

const MARKER = bytes('fLaC', [0, 0, 0, 34]);

function isFound(...pieces: readonly Uint8Array[]): boolean {
  const scan = new MarkerScan();
  for (const piece of pieces) scan.push(piece);
  return scan.isFound;
}

describe('MarkerScan', () => {
  it('finds where a FLAC file begins, in pieces of any size, behind what looks like it', () => {
    expect(isFound(MARKER)).toBe(true);
    expect(isFound(bytes('fLaC', [0x80, 0, 0, 34]))).toBe(true);
    expect(isFound(bytes('xfLafL'), bytes('ffLaC', [0, 0, 0]), bytes([34], 'rest'))).toBe(true);
    expect(isFound(...Array.from(bytes('ff', MARKER), (byte) => Uint8Array.of(byte)))).toBe(true);
  });

  it('takes nothing else for it', () => {
    expect(isFound(bytes('fLaC', [4, 0, 0, 34]), bytes('fLaC', [0, 0, 0, 35]), bytes('fLa', 'C'))).toBe(false);
    const scan = new MarkerScan();
    scan.push(MARKER);
    scan.reset();
    expect(scan.isFound).toBe(false);
  });
});
