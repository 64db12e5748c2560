import { describe, expect, it } from 'vitest';
import { take } from '../../../decoders/simulate/source.ts';
import { speechAround } from '../../../decoders/simulate/speech-around.ts';

describe('speechAround', () => {
  const talk = Float32Array.of(1, 2, 3);
  const bursts = [
    { startSeconds: 1, endSeconds: 2 },
    { startSeconds: 4, endSeconds: 4.5 },
  ];

  it('goes on and on but for the bursts and a little around them', () => {
    const samples = take(speechAround(talk, bursts, false, 10), 60);
    const silent = [...samples.keys()].filter((n) => samples[n] === 0);
    expect(silent).toEqual([
      ...Array.from({ length: 16 }, (_, i) => 7 + i),
      ...Array.from({ length: 11 }, (_, i) => 37 + i),
    ]);
    expect([samples[0], samples[24], samples[59]]).toEqual([1, 1, 3]);
  });

  it('talks over the bursts when it is to', () => {
    expect(take(speechAround(talk, bursts, true, 10), 60)).not.toContain(0);
  });
});
