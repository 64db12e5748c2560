import { describe, expect, it } from 'vitest';
import { fmReceiver } from '../../../decoders/simulate/fm-receiver.ts';
import { type ComplexSource, take } from '../../../decoders/simulate/source.ts';

/** Carriers that may change their frequency with time. */
function carriers(...all: readonly { amplitude: number; hzAt: (second: number) => number }[]): ComplexSource {
  const turns = all.map(() => 0);
  let n = 0;
  return {
    fill(re, im) {
      for (let i = 0; i < re.length; i++, n++) {
        re[i] = 0;
        im[i] = 0;
        all.forEach(({ amplitude, hzAt }, k) => {
          turns[k] += hzAt(n / 64_000) / 64_000;
          re[i] += amplitude * Math.cos(2 * Math.PI * turns[k]);
          im[i] += amplitude * Math.sin(2 * Math.PI * turns[k]);
        });
      }
    },
  };
}

function audio(band: ComplexSource, samples: number): Float32Array {
  const receiver = { bandRateHz: 64_000, decimation: 8, ifBandwidthHz: 15_000, audioPerHz: 1 };
  return take(fmReceiver({ band, ...receiver }), samples);
}

describe('fmReceiver', () => {
  it('gives the frequency of a carrier, whatever its amplitude, down to frequency zero', () => {
    for (const [amplitude, hz] of [
      [1, 1000],
      [0.01, -2500],
      [30, 0],
    ]) {
      const samples = audio(carriers({ amplitude, hzAt: () => hz }), 1000).subarray(100);
      for (const x of samples) expect(Math.abs(x - hz)).toBeLessThan(0.5);
    }
  });

  it('is in time with the band', () => {
    const step = audio(carriers({ amplitude: 1, hzAt: (second) => (second < 0.1 ? -1000 : 1000) }), 1600);
    const half = step.findIndex((x, n) => n > 100 && x > 0);
    const place = half - step[half] / (step[half] - step[half - 1]);
    expect(Math.abs(place - 800)).toBeLessThan(0.15);
  });

  it('keeps what stands outside its IF filter away', () => {
    const wanted = { amplitude: 1, hzAt: () => 500 };
    const near = audio(carriers(wanted, { amplitude: 5, hzAt: () => 7000 }), 1000).subarray(100);
    expect(near.reduce((sum, x) => sum + x, 0) / near.length).toBeCloseTo(7000, -2);
    const outside = audio(carriers(wanted, { amplitude: 5, hzAt: () => 9500 }), 1000).subarray(100);
    expect(outside.reduce((sum, x) => sum + x, 0) / outside.length).toBeCloseTo(500, 0);
  });

  it('passes no audio that its rate cannot hold', () => {
    const wobbling = (hz: number) =>
      audio(carriers({ amplitude: 1, hzAt: (second) => 1000 * Math.cos(2 * Math.PI * hz * second) }), 4000).subarray(
        100,
      );
    expect(Math.max(...wobbling(3000))).toBeGreaterThan(950);
    expect(Math.max(...wobbling(4500))).toBeLessThan(3);
  });
});
