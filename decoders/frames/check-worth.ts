import { Random } from '../simulate/random.ts';
import type { Candidate } from './candidates.ts';
import type { CompiledLayout } from './compiled-mission.ts';
import { derivedTexts } from './write-candidate.ts';

type Items = Candidate['items'];

/** Frames drawn to see how often checksums of different ones agree. */
const DRAWN = 400;
/** Agreement that is more frequent than among random texts by less than this is taken for chance. */
const LEAST_EXCESS = 1.5;

const excessOf = new WeakMap<CompiledLayout, number>();

/**
 * ln of how much more often the checksums of different frames agree than random texts would: zero for a CRC; that of an
 * exclusive or over digits alone has one value of sixteen instead of one of 256.
 */
export function agreementByChance(layout: CompiledLayout): number {
  const known = excessOf.get(layout);
  if (known !== undefined) return known;
  const excess = layout.graph.printed.checks.length === 0 ? 0 : measureAgreement(layout);
  excessOf.set(layout, excess);
  return excess;
}

/**
 * Fields of a reading that no checksum of it covers: a character of them may be another, and all checksums go as well with it.
 * Repeated fields are none of them, since their copies would not.
 */
export function uncheckedFields(layout: CompiledLayout, candidate: Candidate): ReadonlySet<string> {
  const { edges } = layout.graph.printed;
  const asRead = checkTexts(layout, candidate.items).join(' ');
  const unchecked = new Set<string>();
  const seen = new Set<string>();
  candidate.items.forEach((item, i) => {
    if (item.kind !== 'character') return;
    const { owner, characters } = edges[item.edge];
    if (owner.kind !== 'field' || seen.has(owner.field) || isRepeated(layout, owner.field)) return;
    const other = Array.from(characters).find((character) => character !== item.text);
    if (other === undefined) return;
    seen.add(owner.field);
    const changed = candidate.items.with(i, { ...item, text: other });
    if (checkTexts(layout, changed).join(' ') === asRead) unchecked.add(owner.field);
  });
  return unchecked;
}

export function isRepeated({ parts }: CompiledLayout, field: string): boolean {
  return parts.owners.some((owner) => owner.kind === 'again' && owner.field === field);
}

/** Of the checksums whose text follows from the rest. */
function checkTexts(layout: CompiledLayout, items: Items): string[] {
  const { parts } = layout;
  const texts = derivedTexts(layout, { logWeight: 0, items, fromSlot: 0, toSlot: 0 });
  return [...texts].flatMap(([leap, text]) => (parts.owners[leap.part].kind === 'check' ? [text] : []));
}

/** Pairs of different frames whose checksums agree, over how many would among random texts. */
function measureAgreement(layout: CompiledLayout): number {
  const random = new Random(1);
  const texts = new Map<string, string>();
  let logTexts = 0;
  for (let i = 0; i < DRAWN; i++) {
    const { items, logCheckTexts } = drawFrame(layout, random);
    const content = items.map((item) => (item.kind === 'character' ? item.text : '')).join('');
    texts.set(content, checkTexts(layout, items).join(' '));
    logTexts = Math.max(logTexts, logCheckTexts);
  }
  const counts = new Map<string, number>();
  for (const text of texts.values()) counts.set(text, (counts.get(text) ?? 0) + 1);
  let agreeing = 0;
  for (const count of counts.values()) agreeing += (count * (count - 1)) / 2;
  const pairs = (texts.size * (texts.size - 1)) / 2;
  // Less four standard errors, so that a chance agreement is none.
  const surely = agreeing - 4 * Math.sqrt(agreeing) - 4;
  const ratio = surely / (pairs * Math.exp(-logTexts));
  return ratio > LEAST_EXCESS ? Math.min(logTexts, Math.log(ratio)) : 0;
}

/** A way through the layout, derived parts left open; and ln of how many texts its checksums might have. */
function drawFrame({ graph: { printed }, parts }: CompiledLayout, random: Random) {
  const items: Items[number][] = [];
  let logCheckTexts = 0;
  let inside = -1;
  for (let node = printed.start; node !== printed.end; ) {
    const edge = printed.outgoing[node][random.integer(printed.outgoing[node].length)];
    const { characters, to } = printed.edges[edge];
    const part = parts.partOfEdge[edge];
    if (part < 0) {
      items.push({ kind: 'character', edge, text: characters[random.integer(characters.length)], slot: 0 });
    } else {
      if (part !== inside) {
        items.push({ kind: 'leap', leap: { part, fromSlot: 0, fromState: 0, toSlot: 0, toState: 0, logSum: 0 } });
      }
      if (parts.owners[part].kind === 'check') logCheckTexts += Math.log(characters.length);
    }
    inside = part;
    node = to;
  }
  return { items, logCheckTexts };
}
