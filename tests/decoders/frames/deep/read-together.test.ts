import { describe, expect, test } from 'vitest';
import { readDeep } from '../../../../decoders/frames/deep/read-deep.ts';
import { readTogether } from '../../../../decoders/frames/deep/read-together.ts';
import { renderFrame } from '../../../../decoders/frames/render.ts';
import { SlotScores } from '../../../../decoders/frames/slot-scores.ts';
import { encode } from '../../../../decoders/teletype/alphabets.ts';
import { softAt } from '../../../../decoders/teletype/demodulate.ts';
import type { CoherentElements } from '../../../../decoders/teletype/types.ts';
import { digitFrame, missionOf } from '../../support/missions.ts';
import { heard, LAYOUT, TEXT } from './heard.ts';

/** What a reception of a text keeps of its phase, and its own reading; where the text begins is known from a clear reception. */
function reception(text: string, seed: number, ebN0Db: number) {
  const clear = heard(text, 'continuous', seed, 20);
  const { elements, ...noisy } = heard(text, 'continuous', seed, ebN0Db);
  const starts = clear.soft.startSeconds.slice(-encode(text, 'ita2', { startShift: 'letters' }).length);
  const soft = softAt(elements, starts);
  const signal = { ...noisy, elements, soft, characterSeconds: clear.characterSeconds };
  const deep = readDeep({ layout: LAYOUT, rivals: [LAYOUT], signal, fromSlot: 0 });
  if (!deep?.soft.coherent) throw new Error('no phase holds');
  return { frame: deep.frame, coherent: deep.soft.coherent[0] };
}

const coherentOf = (seeds: readonly number[], ebN0Db: number): CoherentElements[] =>
  seeds.map((seed) => reception(TEXT, seed, ebN0Db).coherent);

describe('receptions through their phases', () => {
  test('one alone is decided as the burst itself was', () => {
    const { frame, coherent } = reception(TEXT, 1, 5);
    const read = readTogether({ coherent: [coherent], others: null, layouts: [LAYOUT] });
    expect(read?.frame.text).toBe(frame?.text);
    expect(read?.frame.trust).toBe(frame?.trust);
    // What is stored of it has single precision.
    const doubt = [read?.frame, frame].map((each) => Math.log10(1 - (each?.confidence ?? 0)));
    expect(Math.abs(doubt[0] - doubt[1])).toBeLessThan(0.1);
  });

  test('two confirm what neither of them can', () => {
    const each = [5, 6].map((seed) => reception(TEXT, seed, 0.5));
    expect(each.map(({ frame }) => frame?.trust)).not.toContain('confirmed');
    const read = readTogether({
      coherent: each.map(({ coherent }) => coherent),
      others: null,
      layouts: [LAYOUT],
    });
    expect(read?.frame.text).toBe(TEXT);
    expect(read?.frame.trust).toBe('confirmed');
  });

  test('one without a phase counts by its codes', () => {
    const coherent = coherentOf([4, 5], 0.5);
    const without = readTogether({ coherent, others: null, layouts: [LAYOUT] });
    const { slots, startSeconds } = coherent[0];
    const elementLlr = new Float32Array(slots * 7);
    const first = without?.frame.characters[0].slot ?? 0;
    for (const [i, code] of encode(TEXT, 'ita2', { startShift: 'letters' }).entries()) {
      for (let bit = 0; bit < 5; bit++) elementLlr[(first + i) * 7 + 1 + bit] = (code >> bit) & 1 ? 2 : -2;
    }
    const starts = new Float64Array(slots).fill(startSeconds);
    const { scores } = new SlotScores({ count: slots, startSeconds: starts, elementLlr });
    const others = { count: slots, logLikelihoods: scores, random: new Float64Array(slots) };
    const read = readTogether({ coherent, others, layouts: [LAYOUT] });
    expect(read?.frame.text).toBe(TEXT);
    expect(read?.frame.confidence).toBeGreaterThan(without?.frame.confidence ?? 1);
  });

  test('what no layout holds is not confirmed, however many heard it', () => {
    const other = missionOf({ a: digitFrame('crc-8/smbus') });
    const text = renderFrame(other, 'a', Object.fromEntries(Array.from({ length: 9 }, (_, i) => [`f${i}`, 777 * i])));
    const coherent = [1, 2, 3].map((seed) => reception(text, seed, 4).coherent);
    const read = readTogether({ coherent, others: null, layouts: [LAYOUT] });
    expect(read?.frame.trust).not.toBe('confirmed');
  });
});
