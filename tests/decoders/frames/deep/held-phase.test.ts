import { describe, expect, test } from 'vitest';
import { findHeldPhase } from '../../../../decoders/frames/deep/held-phase.ts';
import { matchFrames } from '../../../../decoders/frames/match.ts';
import type { PhaseLaw } from '../../../../decoders/simulate/transmitter.ts';
import { encode } from '../../../../decoders/teletype/alphabets.ts';
import { demodulate } from '../../../../decoders/teletype/demodulate.ts';
import { keyed } from '../../support/keyed.ts';
import { LAYOUT, MISSION, TEXT } from './heard.ts';

const BAUD = 500 / 11;

/** Whether a phase is found to hold; tones so many times the speed apart that a space turns it that often. */
function holds(phase: PhaseLaw, turnsPerSpace: number, seed: number): boolean {
  const codes = encode(TEXT, 'ita2', { startShift: 'unknown' });
  const signal = demodulate(keyed({ codes, baud: BAUD, shiftHz: turnsPerSpace * BAUD, ebN0Db: 6, seed, phase }));
  const fromSlot = signal && matchFrames(signal.soft, [MISSION])[0]?.fromSlot;
  if (!signal || typeof fromSlot !== 'number') throw new Error('no frame');
  return findHeldPhase(signal, LAYOUT, fromSlot) !== null;
}

describe('findHeldPhase', () => {
  test.each([3.74, 4])('finds the phase of a continuous sender, %d turns a space', (turnsPerSpace) => {
    for (const seed of [1, 2, 3]) expect(holds('continuous', turnsPerSpace, seed)).toBe(true);
  });

  // Whole turns leave two oscillators in step: then they are a continuous sender.
  test.each(['switched', 'random'] as const)('finds none in a %s one', (phase) => {
    for (const seed of [1, 2, 3]) expect(holds(phase, 3.74, seed)).toBe(false);
  });
});
