import type { Candidate } from '../candidates.ts';
import type { Leap } from '../derived-parts.ts';
import type { WrittenCharacter } from '../write-candidate.ts';
import type { SenderPaths } from './sender-paths.ts';

/** The last thing that a reading keyed, and what it keyed before: a code, or a whole derived part. */
export type Link = { readonly before: Link | null } & (
  | { readonly move: number; readonly slot: number }
  | { readonly leap: Leap; readonly characters: readonly WrittenCharacter[]; readonly logMost: number }
);

/** What a reading keyed up to here, first things first. */
export interface Keyed {
  readonly items: Candidate['items'];
  readonly characters: readonly WrittenCharacter[];
  /** Text of all that is not derived. */
  readonly content: string;
  /** ln of what copies of fields can add to its weight. */
  readonly logMost: number;
}

export function keyedUpTo(last: Link | null, paths: SenderPaths): Keyed {
  const { graph, moves } = paths;
  const items: Candidate['items'][number][] = [];
  const characters: WrittenCharacter[] = [];
  let content = '';
  let logMost = 0;
  for (const link of inOrder(last)) {
    if ('leap' in link) {
      items.push({ kind: 'leap', leap: link.leap });
      characters.push(...link.characters);
      logMost += link.logMost;
      continue;
    }
    const { edge } = graph.steps[moves.step[link.move]];
    if (edge === null) continue;
    const text = paths.characterOf(link.move);
    items.push({ kind: 'character', edge, text, slot: link.slot });
    characters.push({ character: text, owner: graph.printed.edges[edge].owner, slot: link.slot, edge });
    content += text;
  }
  return { items, characters, content, logMost };
}

function inOrder(last: Link | null): Link[] {
  const links: Link[] = [];
  for (let link = last; link; link = link.before) links.push(link);
  return links.reverse();
}
