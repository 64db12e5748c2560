import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { checksumNamed } from '../../../decoders/frames/checksums.ts';
import { formRange } from '../../../decoders/frames/field-form.ts';
import { compileGraph } from '../../../decoders/frames/printed-graph.ts';
import { matchPrinted } from '../../../decoders/frames/printed-match.ts';
import { renderFrame } from '../../../decoders/frames/render.ts';
import { definition, missionOf, withLayout } from '../mission/definition.ts';

const bytesOf = (text: string) => Uint8Array.from(text, (character) => character.charCodeAt(0));
const power = { count: 42, battery: 7921, current: -130, bus: 5.02, status: 0x1f, mode: 'NOM' };

describe('renderFrame', () => {
  test('prints the example with the checksum that Python computes for it', () => {
    expect(renderFrame(missionOf(definition()), 'power', power)).toBe('Q0DUN P 00042 7921 -0130 05.02 1F NOM 5A29');
  });

  test('optional parts and alternatives follow the values given', () => {
    const mission = missionOf(
      withLayout([
        { field: 'a', digits: 2 },
        { optional: [{ text: ' T' }, { field: 't', digits: 2 }] },
        { either: [[{ text: ' OFF' }], [{ text: ' NIL' }], [{ text: ' ON ' }, { field: 'p', digits: 2 }]] },
        { optional: [{ text: ' END' }] },
      ]),
    );
    expect(renderFrame(mission, 'one', { a: 1 })).toBe('Q0DUN 01 OFF');
    expect(renderFrame(mission, 'one', { a: 1, p: 7 })).toBe('Q0DUN 01 ON 07');
    expect(renderFrame(mission, 'one', { a: 1, t: 2, p: 7 })).toBe('Q0DUN 01 T02 ON 07');
  });

  test('copies, complements and missing values', () => {
    const mission = missionOf(
      withLayout([
        { field: 'a', digits: [1, 3], missing: '///' },
        { text: ' ' },
        { again: 'a', complement: true },
        { text: ' ' },
        { field: 'b', hex: 2 },
        { again: 'b', complement: true },
      ]),
    );
    expect(renderFrame(mission, 'one', { a: 120, b: 0x0f })).toBe('Q0DUN 120 879 0FF0');
    expect(renderFrame(mission, 'one', { a: null, b: 0 })).toBe('Q0DUN /// /// 00FF');
  });

  test('several checksums, one before what it covers', () => {
    const mission = missionOf(
      withLayout([
        { checksum: 'xor-8', hex: 2, from: 'a', to: 'b', covers: 'bytes' },
        { text: ' ' },
        { field: 'a', hex: 2 },
        { field: 'b', hex: 2 },
        { text: ' ' },
        { checksum: 'sum-100', digits: 2 },
        { text: ' ' },
        { checksum: 'crc-16/ibm-3740', hex: 4, covers: 'codes', byteOrder: 'little' },
      ]),
    );
    const printed = renderFrame(mission, 'one', { a: 0x12, b: 0x34 });
    const sum = checksumNamed('sum-100')?.compute(bytesOf('Q0DUN 26 1234 '));
    expect(printed).toMatch(new RegExp(`^Q0DUN 26 1234 ${String(sum).padStart(2, '0')} [0-9A-F]{4}$`));
    const ones = renderFrame(mission, 'one', { a: 0x12, b: 0x34 }, { codesOf: (text) => Array.from(text, () => 1) });
    // 17 characters before it; CRC-16/IBM-3740 of 17 bytes of 1 is C259 (Python's binascii.crc_hqx), low byte first.
    expect(ones).toBe(`${printed.slice(0, -4)}59C2`);
    expect(printed).not.toBe(ones);
  });

  test('refuses what cannot be printed', () => {
    const mission = missionOf(definition());
    expect(() => renderFrame(mission, 'thermal', power)).toThrow(/no frame thermal; it has power/);
    expect(() => renderFrame(mission, 'power', { ...power, battery: 10_000 })).toThrow(/10000 does not fit/);
    expect(() => renderFrame(mission, 'power', { count: 1 })).toThrow(/battery has no value/);
    expect(() => renderFrame(mission, 'power', { ...power, mode: null })).toThrow(/no value/);
  });

  test('everything it prints fits the layout again', () => {
    const mission = missionOf(definition());
    const graph = compileGraph(mission.frames[0]);
    const values = Object.fromEntries(
      graph.fields.map(({ field, form }) => {
        const range = formRange(form);
        if (range === null) return [field, fc.constantFrom('SAFE', 'NOM')];
        const steps = Math.round((range.high - range.low) / range.step);
        return [field, fc.nat(steps).map((step) => range.low + step * range.step)];
      }),
    );
    fc.assert(
      fc.property(fc.record(values), (each) => {
        expect(matchPrinted(graph, renderFrame(mission, 'power', each)).matched).toBe(true);
      }),
    );
  });
});
