import { Random } from '../simulate/random.ts';
import type { Candidate } from './candidates.ts';
import type { CompiledLayout } from './compiled-mission.ts';
import { shapesOf } from './field-form.ts';
import { derivedTexts } from './write-candidate.ts';

type Items = Candidate['items'];

/** Frames drawn to see how often checksums of different ones agree, and in which of them each field is changed. */
const DRAWN = 400;
const CHANGED = 10;
/** Agreement that is more frequent than among random texts by less than this is taken for chance. */
const LEAST_EXCESS = 1.5;

const excessOf = new WeakMap<CompiledLayout, number>();

/**
 * ln of how much better than by chance the checksums that were received may go with another frame than the one sent. Zero for a CRC over
 * all fields. An exclusive or over digits alone has one value of sixteen instead of one of 256; and where each of two checksums covers
 * a field of its own, a frame that differs in one field only shares the other's.
 */
export function agreementByChance(layout: CompiledLayout): number {
  const known = excessOf.get(layout);
  if (known !== undefined) return known;
  const excess = layout.graph.printed.checks.length === 0 ? 0 : measureAgreement(layout);
  excessOf.set(layout, excess);
  return excess;
}

/**
 * Fields of a reading that no checksum of it covers, nor a copy: a character of them may be another, and all checksums go as well with it.
 * Where a field may be of several widths or texts, or missing, its characters by themselves do not say how sure it is; those are reckoned
 * with in `agreementByChance`, too.
 */
export function uncheckedFields(layout: CompiledLayout, { items }: Candidate): ReadonlySet<string> {
  const asRead = checkTexts(layout, items);
  const unchecked = new Set<string>();
  for (const [field, changed] of withFieldsChanged(layout, items)) {
    if (!isRepeated(layout, field) && checksAlike(asRead, checkTexts(layout, changed)).every((is) => is))
      unchecked.add(field);
  }
  return unchecked;
}

export function isRepeated({ parts }: CompiledLayout, field: string): boolean {
  return parts.owners.some((owner) => owner.kind === 'again' && owner.field === field);
}

/** A frame once for each of its fields, with one character of it another. */
function* withFieldsChanged({ graph }: CompiledLayout, items: Items): Generator<[field: string, items: Items]> {
  const seen = new Set<string>();
  for (const [i, item] of items.entries()) {
    if (item.kind !== 'character') continue;
    const { owner, characters } = graph.printed.edges[item.edge];
    if (owner.kind !== 'field' || seen.has(owner.field)) continue;
    const other = Array.from(`${characters}AB`).find((character) => character !== item.text);
    if (other === undefined) continue;
    seen.add(owner.field);
    yield [owner.field, items.with(i, { ...item, text: other })];
  }
}

/** Texts of the checksums, in order. */
function checkTexts(layout: CompiledLayout, items: Items): string[] {
  const { parts } = layout;
  const texts = derivedTexts(layout, { items });
  return [...texts].flatMap(([leap, text]) => (parts.owners[leap.part].kind === 'check' ? [text] : []));
}

function checksAlike(a: readonly string[], b: readonly string[]): boolean[] {
  return a.map((text, i) => text === b[i]);
}

function measureAgreement(layout: CompiledLayout): number {
  const random = new Random(1);
  const textOf = new Map<string, string>();
  let logTexts = 0;
  const drawn = Array.from({ length: DRAWN }, () => drawFrame(layout, random));
  for (const { items, logTextsOfChecks } of drawn) {
    const content = items.map((item) => (item.kind === 'character' ? item.text : '')).join('');
    textOf.set(content, checkTexts(layout, items).join(' '));
    logTexts = Math.max(logTexts, sum(logTextsOfChecks));
  }
  const isPlain = (field: string) => hasOneShape(layout, field) && drawn.every((each) => each.fields.has(field));
  const shared = Math.max(...drawn.slice(0, CHANGED).map((each) => sharedWithin(layout, each, isPlain)));
  return Math.min(logTexts, shared + logExcessOfPairs([...textOf.values()], logTexts));
}

/**
 * ln of the texts of those checksums that stay as they are where a field is changed. Where all do, and the field is plain (always there,
 * in one shape) and has no copy, its own characters tell instead (`uncheckedFields`).
 */
function sharedWithin(
  layout: CompiledLayout,
  { items, logTextsOfChecks }: DrawnFrame,
  isPlain: (field: string) => boolean,
): number {
  const texts = checkTexts(layout, items);
  let most = 0;
  for (const [field, changed] of withFieldsChanged(layout, items)) {
    const alike = checksAlike(texts, checkTexts(layout, changed));
    if (alike.every((is) => is) && !isRepeated(layout, field) && isPlain(field)) continue;
    most = Math.max(most, sum(logTextsOfChecks.filter((_, i) => alike[i])));
  }
  return most;
}

function hasOneShape({ graph }: CompiledLayout, id: string): boolean {
  const part = graph.printed.fields.find(({ field }) => field === id);
  return part !== undefined && shapesOf(part.form, part.missing).length === 1;
}

/** ln of how much more often texts of different frames agree than random ones would; zero where that might be chance. */
function logExcessOfPairs(texts: readonly string[], logTexts: number): number {
  const counts = new Map<string, number>();
  for (const text of texts) counts.set(text, (counts.get(text) ?? 0) + 1);
  const agreeing = sum(Array.from(counts.values(), (count) => (count * (count - 1)) / 2));
  const pairs = (texts.length * (texts.length - 1)) / 2;
  // Less four standard errors.
  const surely = agreeing - 4 * Math.sqrt(agreeing) - 4;
  const ratio = surely / (pairs * Math.exp(-logTexts));
  return ratio > LEAST_EXCESS ? Math.log(ratio) : 0;
}

interface DrawnFrame {
  /** A way through the layout, derived parts left open. */
  readonly items: Items;
  readonly fields: ReadonlySet<string>;
  /** ln of how many texts each of its checksums might have. */
  readonly logTextsOfChecks: readonly number[];
}

function drawFrame({ graph: { printed }, parts }: CompiledLayout, random: Random): DrawnFrame {
  const items: Items[number][] = [];
  const fields = new Set<string>();
  const logTextsOfChecks: number[] = [];
  let inside = -1;
  for (let node = printed.start; node !== printed.end; ) {
    const edge = printed.outgoing[node][random.integer(printed.outgoing[node].length)];
    const { characters, owner, to } = printed.edges[edge];
    if (owner.kind === 'field') fields.add(owner.field);
    const part = parts.partOfEdge[edge];
    const isCheck = part >= 0 && parts.owners[part].kind === 'check';
    if (part < 0) {
      items.push({ kind: 'character', edge, text: characters[random.integer(characters.length)], slot: 0 });
    } else if (part !== inside) {
      items.push({ kind: 'leap', leap: { part, fromSlot: 0, fromState: 0, toSlot: 0, toState: 0, logSum: 0 } });
      if (isCheck) logTextsOfChecks.push(0);
    }
    if (isCheck) logTextsOfChecks[logTextsOfChecks.length - 1] += Math.log(characters.length);
    inside = part;
    node = to;
  }
  return { items, fields, logTextsOfChecks };
}

function sum(values: readonly number[]): number {
  return values.reduce((total, value) => total + value, 0);
}
