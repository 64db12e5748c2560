export { createLiveDecoder } from './live-decoder.ts';
export * from './types.ts';
