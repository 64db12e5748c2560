import { type SpectraJob, spectraOf } from './spectra.ts';
import type { SpectraAnswer } from './spectra-maker.ts';

self.onmessage = ({
  data: { number, job },
}: MessageEvent<{ readonly number: number; readonly job: SpectraJob }>): void => {
  const answer: SpectraAnswer = { number, levels: spectraOf(job) };
  self.postMessage(answer, { transfer: [answer.levels.buffer] });
};
