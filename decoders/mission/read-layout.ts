import { checksumNamed, checksumNames } from '../frames/checksums.ts';
import { formCapacity } from '../frames/field-form.ts';
import { compact, type JsonNode, type JsonObject } from './json-node.ts';
import { oneOfHint } from './nearest.ts';
import { type Places, readId, readValidity } from './read-common.ts';
import type { ChecksumPart, FieldForm, FieldPart, FrameLayout, LayoutPart, Sign } from './types.ts';

/** Every raw value must be a whole number that JavaScript holds exactly. */
const MAX_CAPACITY = Number.MAX_SAFE_INTEGER;
const MAX_DIGITS = 15;
const MAX_NESTING = 8;
const NESTED_LISTS = 'layout parts';

const PART_KEYS = {
  text: ['text'],
  field: ['field', 'digits', 'decimals', 'sign', 'hex', 'letters', 'symbols', 'length', 'oneOf', 'missing', 'wraps'],
  again: ['again', 'complement'],
  optional: ['optional'],
  either: ['either'],
  checksum: ['checksum', 'hex', 'digits', 'symbols', 'length', 'covers', 'from', 'to', 'byteOrder'],
} as const;
const PART_KINDS = Object.keys(PART_KEYS) as (keyof typeof PART_KEYS)[];

export function readFrame(node: JsonNode, places: Places): FrameLayout | undefined {
  const object = node.asObject(['id', 'layout', 'repeats', 'validFrom', 'validUntil']);
  if (object === undefined) return undefined;
  const id = readId(object.need('id', 'the id of the frame'));
  const layoutNode = object.need('layout', 'a list of layout parts');
  const layout = layoutNode === undefined ? undefined : readParts(layoutNode, places, 0);
  const repeats = object.get('repeats')?.asNumber({ least: 1, most: 100, whole: true }) ?? 1;
  const validity = readValidity(object);
  if (id === undefined || layout === undefined) return undefined;
  const frame: FrameLayout = { id, layout, repeats, ...validity };
  places.set(frame, node);
  return frame;
}

function readParts(node: JsonNode, places: Places, depth: number): LayoutPart[] | undefined {
  if (depth > MAX_NESTING) return node.fault('too-deep', `parts nested at most ${MAX_NESTING} deep`);
  const nodes = node.asList(NESTED_LISTS, 1, 1000);
  return nodes?.flatMap((each) => {
    const part = readPart(each, places, depth);
    if (part === undefined) return [];
    places.set(part, each);
    return [part];
  });
}

function readPart(node: JsonNode, places: Places, depth: number): LayoutPart | undefined {
  const loose = node.asMap();
  if (loose === undefined) return undefined;
  const kinds = PART_KINDS.filter((kind) => loose.has(kind));
  if (kinds.length !== 1) {
    return kinds.length > 1
      ? node.fault('two-kinds', `only one of ${kinds.join(' and ')}: one thing a part`)
      : node.fault('unknown-part', `a part with ${oneOfHint(loose.keys()[0] ?? '', PART_KINDS)}`);
  }
  const [kind] = kinds;
  const object = node.asObject(PART_KEYS[kind]);
  const main = loose.get(kind);
  if (object === undefined || main === undefined) return undefined;
  switch (kind) {
    case 'text': {
      const text = main.asText({ most: 1000 });
      return text === undefined ? undefined : { part: 'text', text };
    }
    case 'field':
      return readField(node, object, main);
    case 'again': {
      const field = readId(main);
      const complement = object.get('complement')?.asBoolean() ?? false;
      return field === undefined ? undefined : { part: 'again', field, complement };
    }
    case 'optional': {
      const layout = readParts(main, places, depth + 1);
      return layout === undefined ? undefined : { part: 'optional', layout };
    }
    case 'either': {
      const lists = main.asList(`lists of ${NESTED_LISTS}`, 2, 100);
      const layouts = lists?.flatMap((each) => {
        const layout = readParts(each, places, depth + 1);
        return layout === undefined ? [] : [layout];
      });
      return layouts === undefined ? undefined : { part: 'either', layouts };
    }
    case 'checksum':
      return readChecksum(node, object, main);
  }
}

function readField(node: JsonNode, object: JsonObject, main: JsonNode): FieldPart | undefined {
  const field = readId(main);
  const form = readForm(node, object, ['digits', 'hex', 'letters', 'symbols', 'oneOf']);
  const missing = readMissing(object.get('missing'));
  const wrapsNode = object.get('wraps');
  const wraps = wrapsNode?.asNumber({ least: 2, most: MAX_CAPACITY, whole: true });
  if (field === undefined || form === undefined) return undefined;
  if (wraps !== undefined && wraps > (formCapacity(form) ?? 0)) {
    const capacity = formCapacity(form);
    wrapsNode?.fault(
      'out-of-range',
      capacity === null ? 'a field with a number' : `at most ${capacity}, which is what fits`,
    );
  }
  return compact({ part: 'field' as const, field, form, missing, wraps });
}

function readChecksum(node: JsonNode, object: JsonObject, main: JsonNode): ChecksumPart | undefined {
  const name = main.asText();
  const algorithm = name === undefined ? undefined : checksumNamed(name);
  if (name !== undefined && algorithm === null) main.fault('unknown-checksum', oneOfHint(name, checksumNames()));
  const form = readForm(node, object, ['hex', 'digits', 'symbols']);
  const coversNode = object.get('covers');
  const covers = coversNode?.asChoice(['text', 'codes', 'bytes'] as const) ?? 'text';
  const from = readId(object.get('from'));
  const to = readId(object.get('to'));
  const orderNode = object.get('byteOrder');
  const byteOrder = orderNode?.asChoice(['big', 'little'] as const) ?? 'big';
  if (
    algorithm === undefined ||
    algorithm === null ||
    form === undefined ||
    form.kind === 'letters' ||
    form.kind === 'oneOf'
  ) {
    return undefined;
  }
  if (form.kind === 'digits' && form.min !== form.max) {
    return node.fault('wrong-width', 'a checksum with a fixed number of digits');
  }
  if ((formCapacity(form) ?? 0) < algorithm.valueLimit) {
    return node.fault('wrong-width', `room for the values 0 to ${algorithm.valueLimit - 1} of ${algorithm.name}`);
  }
  if (byteOrder === 'little' && (algorithm.widthBits ?? 0) <= 8) {
    orderNode?.fault('wrong-order', `"big", or nothing: ${algorithm.name} is no longer than a byte`);
  }
  if (algorithm.name === 'mod-97-10' && covers !== 'text') {
    coversNode?.fault('unknown-choice', '"text": mod-97-10 counts digits and letters');
  }
  return compact({ part: 'checksum' as const, algorithm: algorithm.name, form, covers, from, to, byteOrder });
}

const FORM_READERS = {
  digits: readDigits,
  hex: (node: JsonNode) => readPositional('hex', node, 16),
  letters: (node: JsonNode) => readPositional('letters', node, 26),
  symbols: readSymbols,
  oneOf: readOneOf,
};

function readForm(
  node: JsonNode,
  object: JsonObject,
  kinds: readonly (keyof typeof FORM_READERS)[],
): FieldForm | undefined {
  const given = kinds.filter((kind) => object.has(kind));
  const main = given.length === 1 ? object.get(given[0]) : undefined;
  if (main === undefined) {
    return node.fault(given.length === 0 ? 'missing-key' : 'two-kinds', `exactly one of ${kinds.join(', ')}`);
  }
  for (const [key, kind] of [
    ['decimals', 'digits'],
    ['sign', 'digits'],
    ['length', 'symbols'],
  ] as const) {
    if (given[0] !== kind) object.get(key)?.fault('does-not-belong', `nothing: ${key} goes with ${kind}`);
  }
  return FORM_READERS[given[0]](main, object);
}

function readDigits(node: JsonNode, object: JsonObject): FieldForm | undefined {
  const count = { least: 1, most: MAX_DIGITS, whole: true };
  const [min, max] = node.isList
    ? (node.asList('two numbers of digits', 2, 2)?.map((each) => each.asNumber(count)) ?? [])
    : [node.asNumber(count)];
  const decimals = object.get('decimals')?.asNumber({ least: 1, most: MAX_DIGITS - 1, whole: true }) ?? 0;
  const sign = readSign(object.get('sign'));
  if (min === undefined || (node.isList && max === undefined)) return undefined;
  if (min > (max ?? min)) return node.fault('wrong-order', 'the smaller number of digits first');
  if ((max ?? min) + decimals > MAX_DIGITS) return node.fault('out-of-range', `at most ${MAX_DIGITS} digits in all`);
  return compact({ kind: 'digits' as const, min, max: max ?? min, decimals, sign });
}

function readSign(node: JsonNode | undefined): Sign | undefined {
  if (node === undefined) return undefined;
  if (node.isText) return node.asChoice(['minus', 'always'] as const);
  const object = node.asObject(['plus', 'minus']);
  const plus = object?.need('plus', 'what is printed for plus, may be empty')?.asText({ least: 0, most: 8 });
  const minus = object?.need('minus', 'what is printed for minus')?.asText({ most: 8 });
  if (plus === undefined || minus === undefined) return undefined;
  const overlapping = plus === minus || /[\d ]/.test(plus + minus);
  return overlapping ? node.fault('wrong-text', 'two different texts without digits and spaces') : { plus, minus };
}

function readPositional(kind: 'hex' | 'letters', node: JsonNode, base: number): FieldForm | undefined {
  const most = Math.floor(Math.log(MAX_CAPACITY) / Math.log(base));
  const length = node.asNumber({ least: 1, most, whole: true });
  return length === undefined ? undefined : { kind, length };
}

function readSymbols(node: JsonNode, object: JsonObject): FieldForm | undefined {
  const symbols = node.asText({ least: 2, most: 64 });
  const length = object.need('length', 'how many symbols')?.asNumber({ least: 1, most: 53, whole: true });
  if (symbols === undefined || length === undefined) return undefined;
  if (new Set(symbols).size !== symbols.length || /\s/.test(symbols)) {
    return node.fault('wrong-text', 'symbols that are all different, without space');
  }
  if (symbols.length ** length > MAX_CAPACITY) return node.fault('out-of-range', 'numbers below 2 to the 53rd');
  return { kind: 'symbols', symbols, length };
}

function readOneOf(node: JsonNode): FieldForm | undefined {
  const texts = readPrintedTexts(node, 1);
  return texts === undefined ? undefined : { kind: 'oneOf', texts };
}

function readMissing(node: JsonNode | undefined): string[] {
  if (node === undefined) return [];
  if (!node.isText) return readPrintedTexts(node, 0) ?? [];
  const text = readPrintedText(node);
  return text === undefined ? [] : [text];
}

function readPrintedTexts(node: JsonNode, least: number): string[] | undefined {
  const nodes = node.asList('texts', least, 256);
  const texts = nodes?.map(readPrintedText);
  if (texts === undefined || !texts.every((text) => text !== undefined)) return undefined;
  nodes?.forEach((each, i) => {
    if (texts.indexOf(texts[i]) < i) each.fault('duplicate', 'each text once');
  });
  return texts;
}

function readPrintedText(node: JsonNode): string | undefined {
  return node.asText({
    most: 64,
    pattern: /^\S+( \S+)*$/,
    what: 'a text of 1 to 64 characters that neither begins nor ends with a space nor has two in a row',
  });
}
