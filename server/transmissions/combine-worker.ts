import { combine } from '../../decoders/frames/combine.ts';

/** What a thread of the combiner does: one transmission at a time. */
export default function combineInThread(input: Parameters<typeof combine>): ReturnType<typeof combine> {
  return combine(...input);
}
