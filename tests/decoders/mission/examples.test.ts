import { describe, expect, test } from 'vitest';
import { renderFrame } from '../../../decoders/frames/render.ts';
import { readMission } from '../../../decoders/mission/read.ts';
import { definition, type Json, missionOf, withLayout } from './definition.ts';

const TEXT = 'Q0DUN P 00042 7921 -0130 05.02 1F NOM 5A29';

function faultsOf(example: Json, base: Json = definition()) {
  return readMission({ ...base, examples: [example] }).faults;
}

describe('examples are run', () => {
  test('a right one passes, with whatever spaces and line ends', () => {
    expect(faultsOf({ text: TEXT })).toEqual([]);
    expect(faultsOf({ text: `  ${TEXT.replaceAll(' ', '\r\n ')}\n`, frame: 'power' })).toEqual([]);
  });

  test('a wrong checksum is a fault that names the right one', () => {
    expect(faultsOf({ text: TEXT.replace('5A29', '6C1E') })).toEqual([
      {
        code: 'example-checksum',
        path: 'examples[0].text',
        found: `"${TEXT.replace('5A29', '6C1E')}"`,
        expected: '5A29 where 6C1E stands, which is the crc-16/ibm-3740 of the rest',
        severity: 'fault',
      },
    ]);
  });

  test('a text that no frame prints: where it stops fitting, and what may stand there', () => {
    const [fault] = faultsOf({ text: TEXT.replace('7921', '79X1') });
    expect(fault).toMatchObject({ code: 'example-fits-no-frame', path: 'examples[0].text' });
    expect(fault.expected).toContain(
      'of power, which comes nearest, "Q0DUN P 00042 79" fits, then one of " 0123456789" may stand',
    );
    expect(faultsOf({ text: TEXT, frame: 'thermal' })).toMatchObject([
      { code: 'unknown-frame', path: 'examples[0].frame' },
    ]);
  });

  test('readings agree to the decimals written, and not less than to those of the parameter', () => {
    const reading = (readings: Json) =>
      faultsOf({ text: TEXT, readings }).map(({ path, expected }) => [path, expected]);
    expect(reading({ battery_voltage: 7.92, battery_power: -1.03, heater: 'on' })).toEqual([]);
    expect(reading({ battery_voltage: 7.9 })).toEqual([
      ['examples[0].readings.battery_voltage', expect.stringMatching(/^7\.921/)],
    ]);
    expect(reading({ battery_power: -1.04 })).toEqual([
      ['examples[0].readings.battery_power', expect.stringMatching(/^-1\.0297/)],
    ]);
    expect(reading({ heater: 'off', battery_current: null })).toEqual([
      ['examples[0].readings.heater', '"on", which the definition makes of this text'],
      ['examples[0].readings.battery_current', expect.stringMatching(/^-0\.13/)],
    ]);
    expect(reading({ batery_voltage: 7.92 })).toEqual([
      ['examples[0].readings.batery_voltage', expect.stringMatching(/did you mean "battery_voltage"/)],
    ]);
  });

  test('a reading of another frame is not given', () => {
    const base = definition();
    (base.frames as Json[]).push({ id: 'thermal', layout: [{ text: 'Q0DUN T ' }, { field: 'temp', digits: 2 }] });
    (base.parameters as Json[]).push({ id: 'temp', from: 'temp' });
    expect(faultsOf({ text: TEXT, readings: { temp: 20 } }, base)).toMatchObject([
      {
        code: 'example-reading',
        path: 'examples[0].readings.temp',
        expected: expect.stringContaining('that this frame gives'),
      },
    ]);
  });

  test('copies are compared', () => {
    const base = withLayout([
      { field: 'x', digits: [1, 3] },
      { text: ' ' },
      { again: 'x' },
      { text: ' ' },
      { again: 'x', complement: true },
    ]);
    expect(faultsOf({ text: 'Q0DUN 120 120 879' }, base)).toEqual([]);
    expect(faultsOf({ text: 'Q0DUN 120 121 879' }, base)).toMatchObject([
      { code: 'example-copy-differs', expected: 'x again as "120", not "121"' },
    ]);
    expect(faultsOf({ text: 'Q0DUN 120 120 789' }, base)).toMatchObject([
      { code: 'example-copy-differs', expected: 'x again as "879", not "789"' },
    ]);
    expect(faultsOf({ text: 'Q0DUN 120 12 879' }, base)).toMatchObject([{ code: 'example-fits-no-frame' }]);
  });

  test('every kind of checksum is checked the way it is printed', () => {
    const base = withLayout([
      { field: 'a', hex: 4 },
      { text: ' ' },
      { checksum: 'fletcher-16', hex: 4, covers: 'bytes', byteOrder: 'little' },
      { text: ' ' },
      { checksum: 'mod-97-10', digits: 2, from: 'a', to: 'a' },
      { text: ' ' },
      { checksum: 'crc-8/maxim-dow', hex: 2, covers: 'codes' },
    ]);
    const right = renderFrame(missionOf(base), 'one', { a: 0x1234 });
    // Fletcher (1982): s1 = 0x12 + 0x34 = 0x46, s2 = 0x12 + 0x46 = 0x58. ISO/IEC 7064: 98 - 123400 mod 97 = 82.
    expect(right).toMatch(/^Q0DUN 1234 4658 82 /);
    expect(faultsOf({ text: right }, base)).toEqual([]);
    expect(faultsOf({ text: right.replace('4658', '5846') }, base).map(({ code }) => code)).toContain(
      'example-checksum',
    );
    const digits = right.replace(' 82 ', ' 83 ');
    expect(
      faultsOf({ text: digits }, base).filter(({ code }) => code === 'example-checksum').length,
    ).toBeGreaterThanOrEqual(1);
  });
});
