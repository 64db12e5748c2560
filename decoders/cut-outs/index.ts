export * from './cut-outs.ts';
export * from './reading.ts';
export * from './start.ts';
export { LONGEST_CUT_OUT_SECONDS } from './stretches.ts';
export type * from './types.ts';
