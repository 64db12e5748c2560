import { describe, expect, test } from 'vitest';
import { compileMission } from '../../../../decoders/frames/compiled-mission.ts';
import { SureRest } from '../../../../decoders/frames/deep/sure-rest.ts';
import { missionOf } from '../../support/missions.ts';

const VALUE = { field: 'a', digits: 2 };
const XOR = { checksum: 'xor-8', hex: 2 };
const CRC = { checksum: 'crc-16/ibm-3740', hex: 4 };
const text = (literal: string) => ({ text: literal });

function layoutOf(...parts: readonly unknown[]) {
  const [layout] = compileMission(missionOf({ a: [text('Q0DUN '), VALUE, text(' '), ...parts] }));
  return layout;
}

/** What is sure from the first derived part on: literals as they are, parts by their number. */
function restOf(...parts: readonly unknown[]): string {
  const layout = layoutOf(...parts);
  const { edges, outgoing } = layout.graph.printed;
  const node = outgoing.findIndex((leaving) => leaving.some((edge) => layout.parts.partOfEdge[edge] >= 0));
  const items = new SureRest(layout).itemsFrom(node);
  return items.map((item) => (item.kind === 'part' ? `<${item.part}>` : edges[item.edge].characters)).join('');
}

describe('SureRest', () => {
  test.each([
    ['no derived part', []],
    ['a checksum at the end', [CRC]],
    ['a copy of varying width', [{ field: 'n', digits: [1, 3] }, text(' '), { again: 'n' }, text(' K')]],
    ['text behind it', [CRC, text(' K')]],
    ['text behind it that may be missing', [CRC, { optional: [text(' K')] }]],
    ['one text or another behind it', [CRC, { either: [[text(' K')], [text(' AR')]] }]],
    ['two checksums', [XOR, CRC, text('\r\nK')]],
    ['a repeated field and a checksum', [{ again: 'a' }, text(' SUM '), CRC]],
    ['a field sent three times', [{ again: 'a' }, text(' '), { again: 'a' }, text(' K')]],
    ['a checksum that may be missing as a whole', [text('X'), { optional: [text(' '), CRC] }, text(' K')]],
  ])('%s: sure', (_, parts) => {
    expect(new SureRest(layoutOf(...parts)).isSure()).toBe(true);
  });

  test.each([
    ['a field behind a checksum', [CRC, text(' '), { field: 'b', digits: 2 }]],
    ['a field that may be missing behind it', [CRC, { optional: [text(' '), { field: 'b', digits: 2 }] }]],
    ['a second checksum that may be missing', [XOR, { optional: [CRC] }]],
    ['a copy that may be missing', [{ again: 'a' }, { optional: [text(' '), { again: 'a' }] }]],
    ['text that may be missing between two', [XOR, { optional: [text(' A')] }, text(' '), CRC]],
    ['one text or another between two', [XOR, { either: [[text(' A ')], [text(' B ')]] }, CRC]],
    ['a checksum or a text in its place', [{ either: [[CRC], [text('NIL')]] }, text(' K')]],
    ['one checksum or another', [{ either: [[CRC], [XOR]] }]],
  ])('%s: not sure', (_, parts) => {
    expect(new SureRest(layoutOf(...parts)).isSure()).toBe(false);
  });

  test('names the parts and the literals between them in order, and leaves out what stands behind the last', () => {
    expect(restOf(CRC, text(' K'))).toBe('<0>');
    expect(restOf(XOR, text(' SUM '), CRC, text(' K'))).toBe('<0> SUM <1>');
    expect(restOf({ again: 'a' }, text('X'), { again: 'a' }, CRC)).toBe('<0>X<1><2>');
    expect(restOf({ field: 'n', digits: [1, 3] }, text(' '), { again: 'n' }, text(' '), CRC)).toBe('<0> <1>');
  });
});
