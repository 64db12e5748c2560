export * from './accept.ts';
export { type Checksum, checksumNamed, checksumNames } from './checksums.ts';
export { type CombinedFrame, combine, type FrameCopy } from './combine.ts';
export type { AloneReading, Belonging, CombinedCopy, Repetition } from './copies/types.ts';
export { type MatchedFrame, type MatchOptions, matchFrames } from './match.ts';
export { type RenderOptions, renderFrame } from './render.ts';
export { type NearestLayout, readTypedText, type TypedOptions, type TypedReading } from './typed.ts';
export * from './types.ts';
