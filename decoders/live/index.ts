export { BurstCutter, type CutOut, LIVE_TIME_ACCURACY_SECONDS } from './burst-cutter.ts';
export { createLiveDecoder } from './live-decoder.ts';
export * from './types.ts';
