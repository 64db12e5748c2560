export { BurstCutter, type CutOut, LIVE_TIME_ACCURACY_SECONDS } from './burst-cutter.ts';
export { createLiveDecoder } from './live-decoder.ts';
export { bytesPerRawSample, RAW_ENCODINGS, type RawEncoding, RawSamples } from './raw-samples.ts';
export * from './types.ts';
