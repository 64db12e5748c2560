import { FILE_NAME } from '../../../decoders/audio/file-name-start.ts';
import { SENDER } from '../../../decoders/audio/start-time.ts';

/** Who in a file may say when it began, as the sources of times name it. */
const PARTS: readonly (readonly [source: RegExp, words: string])[] = [
  [/^bext$/, 'the recorder’s note in the file (bext)'],
  [/^LIST ICRD$/, 'the date in the file (LIST ICRD)'],
  [/^comment (.+)$/, 'a comment in the file ($1)'],
  [/^SigMF (.+)$/, 'the SigMF metadata ($1)'],
];

/** Who says when a recording began, in words that go behind "said by". */
export function startSourceText(source: string): string {
  const [, from = source, corrected] = /^(.*?)(, corrected)?$/.exec(source) ?? [];
  const words = sourceWords(from);
  return corrected === undefined ? words : `${words}, corrected by its sender`;
}

function sourceWords(source: string): string {
  if (source === SENDER) return 'its sender';
  if (source === FILE_NAME) return 'the name of its file';
  const part = PARTS.find(([pattern]) => pattern.test(source));
  return part === undefined ? `the file (${source})` : source.replace(part[0], part[1]);
}
