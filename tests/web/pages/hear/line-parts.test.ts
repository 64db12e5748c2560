// @vitest-environment node
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { readMission } from '../../../../decoders/mission/read.ts';
import { readLine } from '../../../../web/pages/frames/read-line.ts';
import { type LinePart, lineParts } from '../../../../web/pages/hear/line-parts.ts';

function partsOf(name: string): LinePart[] {
  const { mission } = readMission(JSON.parse(readFileSync(`samples/${name}.json`, 'utf8')));
  const line = mission?.examples[0]?.text;
  if (mission === null || line === undefined) throw new Error(`${name} has no example`);
  const [first] = readLine(mission, line).frames;
  if (first === undefined) throw new Error('the example cannot be read');
  return lineParts(mission, first);
}

describe('the parts of a sample line', () => {
  it('say which field is which reading, and what is none', () => {
    const parts = partsOf('dunlin-1');
    expect(parts.slice(0, 5)).toEqual([
      { text: 'Q0DUN', meaning: 'call sign' },
      { text: 'P', meaning: 'always the same' },
      { text: '00042', meaning: 'Frame count: 42' },
      { text: '7921', meaning: 'Battery voltage: 7.92\u202fV' },
      { text: '-0130', meaning: 'Battery current: \u22120.130\u202fA' },
    ]);
    expect(parts.at(-1)).toEqual({ text: 'B72E', meaning: 'checksum (crc-16/ibm-3740)' });
    expect(parts.find(({ text }) => text === '11')?.meaning).toContain('Sunlight: lit; Battery heater: off');
  });

  it('say when a reading takes several', () => {
    const parts = partsOf('plover-2');
    expect(parts.find(({ text }) => text === '49F0')?.meaning).toMatch(/^Up for: .*\(part of it\)$/);
  });
});
