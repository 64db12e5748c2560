import type { LineAnswer, LineJob } from './line-reader.ts';
import { readLine } from './read-line.ts';

self.onmessage = ({ data: { number, mission, text } }: MessageEvent<LineJob>): void => {
  const answer: LineAnswer = { number, reading: readLine(mission, text) };
  self.postMessage(answer);
};
