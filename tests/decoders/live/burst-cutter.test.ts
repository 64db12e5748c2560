import { describe, expect, test } from 'vitest';
import { BurstCutter } from '../../../decoders/live/burst-cutter.ts';
import { createLiveDecoder } from '../../../decoders/live/live-decoder.ts';
import { addNoiseAtEbN0 } from '../../../decoders/simulate/channel.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import { keyBurst } from '../../../decoders/simulate/transmitter.ts';
import { encode } from '../../../decoders/teletype/alphabets.ts';
import { decodeBytes } from '../support/wav.ts';

const RATE_HZ = 8000;
const BAUD = 500 / 11;
const TEXT = 'Q9SEA Q9SEA THE REEF IS CALM TODAY';
const START = '2031-03-01T10:00:00.000Z';

/** Two bursts with noise around, `gapSeconds` between them. */
function stream(gapSeconds: number): Float32Array {
  const burst = keyBurst(encode(TEXT, 'ita2'), {
    sampleRateHz: RATE_HZ,
    baud: BAUD,
    stopElements: 1.5,
    markHz: 1275,
    spaceHz: 1445,
    amplitude: 0.2,
    leadMarkElements: 9,
    tailMarkElements: 9,
  });
  const samples = new Float32Array(2 * burst.length + (40 + gapSeconds) * RATE_HZ);
  samples.set(burst, 20 * RATE_HZ);
  samples.set(burst, burst.length + (20 + gapSeconds) * RATE_HZ);
  addNoiseAtEbN0(samples, {
    ebN0Db: 12,
    baud: BAUD,
    sampleRateHz: RATE_HZ,
    signalPower: 0.02,
    random: new Random(1),
  });
  return samples;
}

describe('cut-outs of the bursts of a stream', () => {
  test.each([12, 6])('are recordings that hold them, %d s apart, and when they were', (gapSeconds) => {
    const cutter = new BurstCutter(RATE_HZ);
    const decoder = createLiveDecoder({ sampleRateHz: RATE_HZ, missions: [] });
    const samples = stream(gapSeconds);
    const cuts: ReturnType<BurstCutter['cut']>[] = [];
    const starts: number[] = [];
    const take: Parameters<typeof decoder.push>[1] = (event) => {
      if (event.type !== 'burst') return;
      starts.push(event.burst.startSeconds);
      cuts.push(cutter.cut(event.burst.startSeconds, event.burst.endSeconds, START));
    };
    for (let at = 0; at < samples.length; at += 1000) {
      const block = samples.subarray(at, at + 1000);
      cutter.take(block);
      decoder.push(block, take);
    }
    decoder.end(take);
    expect(cuts).toHaveLength(2);
    cuts.forEach(({ wav, startSeconds, endSeconds }, i) => {
      const { bursts, summary } = decodeBytes(wav);
      expect(bursts.map(({ burst }) => burst.text)).toEqual([TEXT]);
      expect(summary.seconds).toBeCloseTo(endSeconds - startSeconds, 3);
      const startedMs = Date.parse(summary.info.startedAt?.iso ?? '');
      expect((startedMs - Date.parse(START)) / 1000 + bursts[0].burst.startSeconds).toBeCloseTo(starts[i], 1);
    });
  });

  test('hold what is left of a stretch that began too long ago', () => {
    const cutter = new BurstCutter(RATE_HZ);
    for (let n = 0; n < 300; n++) cutter.take(new Float32Array(RATE_HZ));
    const { startSeconds, endSeconds, wav } = cutter.cut(50, 299, null);
    expect([startSeconds, endSeconds]).toEqual([100, 300]);
    expect(wav.length).toBe(44 + 2 * 200 * RATE_HZ);
  });
});
