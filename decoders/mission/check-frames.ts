import { FiveunitError } from '../errors.ts';
import { compileGraph, type PrintedGraph } from '../frames/printed-graph.ts';
import { findCodes, signsOf } from '../teletype/alphabets.ts';
import { printedByBoth, readInTwoWays } from './ambiguity.ts';
import type { JsonNode } from './json-node.ts';
import { fieldsOf, partsOf } from './layout.ts';
import { oneOfHint } from './nearest.ts';
import { overlap, type Places } from './read-common.ts';
import type { Alphabet, ChecksumPart, FieldForm, FieldPart, FrameLayout, LayoutPart } from './types.ts';

/** Checks each frame by itself; gives the compiled graphs of those that can be compiled. */
export function checkFrames(
  frames: readonly FrameLayout[],
  alphabet: Alphabet,
  places: Places,
): Map<FrameLayout, PrintedGraph> {
  const graphs = new Map<FrameLayout, PrintedGraph>();
  for (const [i, frame] of frames.entries()) {
    const node = places.get(frame);
    if (frames.findIndex(({ id }) => id === frame.id) < i) node?.fault('duplicate', `an id other than ${frame.id}`);
    for (const part of partsOf(frame.layout)) checkCharacters(part, alphabet, places.get(part));
    checkFieldsOnce(frame.layout, new Map(), places);
    checkCopies(frame.layout, [], places);
    checkChecksums(frame, places);
    checkCovered(frame, places);
    checkEnds(frame, node);
    const graph = compiled(frame, node);
    if (graph !== null) graphs.set(frame, graph);
  }
  return graphs;
}

/** Finds frames that print a common text, unless `sequence` names both or they are never valid together. */
export function checkFramesApart(
  graphs: ReadonlyMap<FrameLayout, PrintedGraph>,
  sequence: readonly string[],
  places: Places,
): void {
  const frames = [...graphs.keys()];
  for (const [i, frame] of frames.entries()) {
    for (const other of frames.slice(0, i)) {
      const told = sequence.includes(frame.id) && sequence.includes(other.id);
      const [a, b] = [graphs.get(other), graphs.get(frame)];
      if (told || a === undefined || b === undefined || !overlap(frame, other)) continue;
      const both = guarded(() => printedByBoth(a, b), places.get(frame));
      if (both !== null) {
        places
          .get(frame)
          ?.fault(
            'frames-alike',
            `a layout that ${other.id} cannot print: "${both.text}" is ${other.id} as ${both.readings[0]}, and ${frame.id} as ${both.readings[1]}; or both frames in sequence`,
          );
      }
    }
  }
}

function compiled(frame: FrameLayout, node: JsonNode | undefined): PrintedGraph | null {
  return guarded(() => {
    const graph = compileGraph(frame);
    const twoWays = readInTwoWays(graph);
    if (twoWays !== null) {
      node?.fault(
        'layout-ambiguous',
        `a layout that every text fits in one way: "${twoWays.text}" is ${twoWays.readings[0]}, or ${twoWays.readings[1]}`,
      );
    }
    return graph;
  }, node);
}

function guarded<T>(run: () => T, node: JsonNode | undefined): T | null {
  try {
    return run();
  } catch (error) {
    if (!(error instanceof FiveunitError)) throw error;
    // An unknown field has its fault already, at the part that names it.
    if (error.code !== 'unknown-field') node?.fault(error.code, error.message);
    return null;
  }
}

function checkCharacters(part: LayoutPart, alphabet: Alphabet, node: JsonNode | undefined): void {
  const unprintable = [...new Set(printedCharacters(part))].filter(
    (character) => findCodes(character, alphabet) === null,
  );
  if (unprintable.length === 0) return;
  node?.fault(
    'character-not-in-alphabet',
    `only A-Z, 0-9, space and ${signsOf(alphabet)} (${alphabet}), not ${unprintable.map((each) => JSON.stringify(each)).join(' ')}`,
  );
}

function printedCharacters(part: LayoutPart): string {
  switch (part.part) {
    case 'text':
      return part.text;
    case 'field':
      return formCharacters(part.form) + part.missing.join('');
    case 'checksum':
      return formCharacters(part.form);
    default:
      return '';
  }
}

function formCharacters(form: FieldForm): string {
  switch (form.kind) {
    case 'digits':
      if (form.sign === undefined) return '';
      if (form.sign === 'minus') return '-';
      return form.sign === 'always' ? '+-' : form.sign.plus + form.sign.minus;
    case 'symbols':
      return form.symbols;
    case 'oneOf':
      return form.texts.join('');
    default:
      return '';
  }
}

/** A field may stand once on every way through the layout; in several alternatives it must have one form. */
function checkFieldsOnce(parts: readonly LayoutPart[], before: ReadonlyMap<string, FieldPart>, places: Places) {
  const seen = new Map(before);
  for (const part of parts) {
    if (part.part === 'field') {
      if (seen.has(part.field)) {
        places
          .get(part)
          ?.fault('duplicate-field', `a field id that does not stand before, or { "again": "${part.field}" }`);
      }
      seen.set(part.field, part);
    } else if (part.part === 'optional') {
      for (const [id, field] of checkFieldsOnce(part.layout, seen, places)) seen.set(id, field);
    } else if (part.part === 'either') {
      const found = new Map<string, FieldPart>();
      for (const layout of part.layouts) {
        for (const [id, field] of checkFieldsOnce(layout, seen, places)) {
          const other = found.get(id);
          if (other !== undefined && !sameField(other, field)) {
            places.get(field)?.fault('duplicate-field', `the same form as where ${id} stands in another alternative`);
          }
          found.set(id, field);
        }
      }
      for (const [id, field] of found) seen.set(id, field);
    }
  }
  return seen;
}

function sameField(a: FieldPart, b: FieldPart): boolean {
  return JSON.stringify([a.form, a.missing, a.wraps]) === JSON.stringify([b.form, b.missing, b.wraps]);
}

/** A field is sent again after it, in the same list of parts or deeper. */
function checkCopies(parts: readonly LayoutPart[], before: readonly FieldPart[], places: Places): void {
  const known = [...before];
  for (const part of parts) {
    if (part.part === 'field') known.push(part);
    else if (part.part === 'optional') checkCopies(part.layout, known, places);
    else if (part.part === 'either') for (const layout of part.layouts) checkCopies(layout, known, places);
    else if (part.part === 'again') {
      const field = known.find((each) => each.field === part.field);
      const ids = known.map((each) => each.field);
      if (field === undefined) {
        places.get(part)?.fault('unknown-field', `a field that always stands before it: ${oneOfHint(part.field, ids)}`);
      } else if (part.complement && field.form.kind === 'oneOf') {
        places
          .get(part)
          ?.fault('no-complement', 'a field of digits, hex, letters or symbols: texts have no complement');
      }
    }
  }
}

function checkChecksums(frame: FrameLayout, places: Places): void {
  const parts = [...partsOf(frame.layout)];
  const always = new Set(frame.layout);
  for (const check of parts) {
    if (check.part !== 'checksum') continue;
    const node = places.get(check);
    for (const field of [check.from, check.to]) {
      if (field !== undefined && positionOf(field, parts) < 0) {
        node?.fault('unknown-field', `a field of this frame: ${oneOfHint(field, [...fieldsOf(frame.layout).keys()])}`);
      } else if (field !== undefined && !always.has(parts[positionOf(field, parts)])) {
        node?.fault('optional-field', `a field that is always sent: ${field} is not`);
      }
    }
    const at = parts.indexOf(check);
    const { start, end } = stretchOf(check, parts);
    if (start < 0 || (end < 0 && check.to !== undefined)) continue;
    if (start > end || (start < at && at < end)) {
      node?.fault('wrong-order', 'a stretch with something in it that ends before the checksum or begins after it');
    } else if (check.covers === 'bytes') {
      checkBytes(check, parts.slice(start, end + 1), always, node);
    }
  }
}

function positionOf(field: string, parts: readonly LayoutPart[]): number {
  return parts.findIndex((part) => part.part === 'field' && part.field === field);
}

/** First and last part that a checksum covers; -1 where a field is not there. */
function stretchOf(
  check: ChecksumPart,
  parts: readonly LayoutPart[],
): { readonly start: number; readonly end: number } {
  return {
    start: check.from === undefined ? 0 : positionOf(check.from, parts),
    end: check.to === undefined ? parts.indexOf(check) - 1 : positionOf(check.to, parts),
  };
}

/** What no checksum and no copy bears out is as sure as its own characters, which its makers may not have meant. */
function checkCovered({ layout }: FrameLayout, places: Places): void {
  const parts = [...partsOf(layout)];
  const checks = parts.filter((part) => part.part === 'checksum');
  if (checks.length === 0) return;
  const isRepeated = (field: string) => parts.some((part) => part.part === 'again' && part.field === field);
  const fields = parts.filter((part) => part.part === 'field');
  const covered = checks.map((check) => {
    const { start, end } = stretchOf(check, parts);
    const within = new Set(parts.slice(Math.max(0, start), end + 1));
    return fields.filter((part) => within.has(part) && (check.covers !== 'bytes' || part.form.kind === 'hex'));
  });
  // A checksum that covers nothing is a fault of its own.
  if (covered.some((each) => each.length === 0)) return;
  fields.forEach((part) => {
    if (isRepeated(part.field) || covered.some((each) => each.includes(part))) return;
    const again = `{ "again": "${part.field}" }`;
    const expected = `a place that a checksum covers, or ${again} beside it: else it is only as sure as its own characters`;
    places.get(part)?.fault('not-covered', expected, 'warning');
  });
}

function checkBytes(
  check: ChecksumPart,
  covered: readonly LayoutPart[],
  always: ReadonlySet<LayoutPart>,
  node: JsonNode | undefined,
): void {
  let digits = 0;
  let count = 0;
  for (const part of covered) {
    if (part.part !== 'field' || part.form.kind !== 'hex') continue;
    count++;
    digits += part.form.length;
    if (!always.has(part) && part.form.length % 2 !== 0) {
      node?.fault('half-bytes', `whole bytes in ${part.field}, which is not always sent`);
    }
  }
  if (count === 0) node?.fault('no-bytes', `covers "text" or "codes", or hex fields under ${check.algorithm}`);
  else if (digits % 2 !== 0)
    node?.fault('half-bytes', `an even number of hex digits under the checksum, not ${digits}`);
}

/** Lines are passed on trimmed, so that a space at either end of a layout is easily lost. */
function checkEnds({ layout }: FrameLayout, node: JsonNode | undefined): void {
  const [first, last] = [layout[0], layout.at(-1)];
  const begins = first?.part === 'text' && /^\s/.test(first.text);
  const ends = last?.part === 'text' && /\s$/.test(last.text);
  if (begins || ends) node?.fault('space-at-end', 'a layout that begins and ends with a printed character', 'warning');
}
