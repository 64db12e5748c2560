import { type CompiledLayout, compileMission } from '../../../../decoders/frames/compiled-mission.ts';
import { EvidenceSurface } from '../../../../decoders/frames/deep/climb.ts';
import { phaseBins } from '../../../../decoders/frames/deep/phase-model.ts';
import { senderPaths } from '../../../../decoders/frames/deep/sender-paths.ts';
import {
  correlatedTones,
  hypothesisOf,
  type SignalHypothesis,
  turnsPerSpace,
} from '../../../../decoders/frames/deep/signal-hypothesis.ts';
import { renderFrame } from '../../../../decoders/frames/render.ts';
import type { PhaseLaw } from '../../../../decoders/simulate/transmitter.ts';
import { encode } from '../../../../decoders/teletype/alphabets.ts';
import { type DemodulatedBurst, demodulate } from '../../../../decoders/teletype/demodulate.ts';
import { keyed } from '../../support/keyed.ts';
import { digitFrame, missionOf } from '../../support/missions.ts';

export const MISSION = missionOf({ a: digitFrame('crc-16/ibm-3740') });
export const [LAYOUT] = compileMission(MISSION);
export const VALUES = Object.fromEntries(Array.from({ length: 9 }, (_, i) => [`f${i}`, 1009 * i + 7]));
export const TEXT = renderFrame(MISSION, 'a', VALUES);

/** A text as demodulated, without drift or noise that is not asked for. */
export function heard(text: string, phase: PhaseLaw, seed: number, ebN0Db: number): DemodulatedBurst {
  const codes = encode(text, 'ita2', { startShift: 'unknown' });
  const signal = demodulate(keyed({ codes, baud: 500 / 11, shiftHz: 170, ebN0Db, seed, phase }));
  if (!signal) throw new Error('no burst');
  return signal;
}

/** The evidence of a layout in a burst, with the hypothesis that demodulation gives. */
export function surfaceOf(signal: DemodulatedBurst, layout: CompiledLayout = LAYOUT) {
  const paths = senderPaths(layout.graph);
  const tones = correlatedTones(signal);
  const start: SignalHypothesis = hypothesisOf(signal, 0);
  const bins = phaseBins(Math.abs(turnsPerSpace(tones, start)));
  return { surface: new EvidenceSurface(paths, tones, bins), start };
}
