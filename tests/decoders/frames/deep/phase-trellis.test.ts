import { describe, expect, test } from 'vitest';
import { compileMission } from '../../../../decoders/frames/compiled-mission.ts';
import { EvidenceSurface } from '../../../../decoders/frames/deep/climb.ts';
import { type PhaseModel, phaseBins } from '../../../../decoders/frames/deep/phase-model.ts';
import { senderPaths } from '../../../../decoders/frames/deep/sender-paths.ts';
import { renderFrame } from '../../../../decoders/frames/render.ts';
import { toBaseband } from '../../../../decoders/signal/burst-baseband.ts';
import { ToneCorrelator } from '../../../../decoders/signal/burst-correlator.ts';
import { Random } from '../../../../decoders/simulate/random.ts';
import { keyBurst, type PhaseLaw } from '../../../../decoders/simulate/transmitter.ts';
import { encode } from '../../../../decoders/teletype/alphabets.ts';
import { missionOf } from '../../support/missions.ts';

const MISSION = missionOf({ a: [{ text: 'AB ' }, { field: 'x', digits: 3 }, { text: ' CD' }] });
const [LAYOUT] = compileMission(MISSION);
const BAUD = 500 / 11;
const CONTINUOUS: PhaseModel = { slip: 0.004, diffusion: 0.015 };
const FORGETTING: PhaseModel = { slip: 1, diffusion: 0 };

/** The frame without noise, tones and timing exactly known. */
function surfaceOf(phase: PhaseLaw) {
  const codes = encode(renderFrame(MISSION, 'a', { x: 207 }), 'ita2');
  const samples = keyBurst(codes, {
    sampleRateHz: 8000,
    baud: BAUD,
    stopElements: 1.5,
    markHz: 1275,
    spaceHz: 1445,
    amplitude: 0.3,
    phase,
    random: new Random(2),
    tailMarkElements: 4,
  });
  const baseband = toBaseband(samples, {
    sampleRateHz: 8000,
    startSeconds: 0,
    centreHz: 1360,
    centreSeconds: 0,
    driftHzPerSecond: 0,
    baud: BAUD,
    shiftHz: 170,
  });
  const tones = {
    mark: new ToneCorrelator(baseband, -85),
    space: new ToneCorrelator(baseband, 85),
    markHz: -85,
    spaceHz: 85,
    originSeconds: 0,
    middleSeconds: 0,
  };
  const level = 0.15 * (1 / BAUD) * baseband.rateHz;
  const hypothesis = {
    startSeconds: 0,
    elementSeconds: 1 / BAUD,
    stopElements: 1.5,
    offsetHz: 0,
    spreadHz: 0,
    driftHzPerSecond: 0,
    markLevel: level,
    spaceLevel: level,
    noisePower: level ** 2 / 4,
  };
  return { surface: new EvidenceSurface(senderPaths(LAYOUT.graph), tones, phaseBins(170 / BAUD)), hypothesis };
}

describe('the phase trellis', () => {
  test('has the same evidence forwards and backwards', () => {
    const { surface, hypothesis } = surfaceOf('continuous');
    for (const model of [CONTINUOUS, FORGETTING, { slip: 0.1, diffusion: 0.38 }]) {
      const trellis = surface.trellis(hypothesis, model);
      const { value, scale } = trellis.backward();
      let sum = 0;
      for (const state of LAYOUT.graph.starts) {
        for (let b = 0; b < trellis.bins; b++) sum += value[state * trellis.bins + b];
      }
      const backwards = Math.log(sum / trellis.bins / LAYOUT.graph.starts.length) + scale[0];
      expect(backwards).toBeCloseTo(trellis.evidence(), 6);
    }
  });

  test('finds more in a continuous phase than elements alone hold, and none in a jumping one', () => {
    const lead = (phase: PhaseLaw) => {
      const { surface, hypothesis } = surfaceOf(phase);
      return surface.at(hypothesis, CONTINUOUS) - surface.at(hypothesis, FORGETTING);
    };
    expect(lead('continuous')).toBeGreaterThan(15);
    expect(lead('random')).toBeLessThan(0);
  });

  test('has its summit at the true signal', () => {
    const { surface, hypothesis } = surfaceOf('continuous');
    const top = surface.at(hypothesis, CONTINUOUS);
    const off = [
      { offsetHz: 0.5 },
      { spreadHz: 1.5 },
      { startSeconds: 0.0015 },
      { elementSeconds: hypothesis.elementSeconds * 1.001 },
      { markLevel: hypothesis.markLevel * 1.3 },
      { spaceLevel: hypothesis.spaceLevel * 1.3 },
    ];
    for (const change of off) expect(surface.at({ ...hypothesis, ...change }, CONTINUOUS)).toBeLessThan(top);
  });
});
