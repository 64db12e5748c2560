export * from './alphabets.ts';
export { BurstReader, type BurstReaderOptions } from './burst-reader.ts';
export { type DemodulatedBurst, type DemodulationInput, demodulate } from './demodulate.ts';
export { DOUBTFUL_MARK, type Printed, type PrintOptions, printSoft } from './print.ts';
export type { ReadBurst } from './read-acquired.ts';
export { CODE_COUNT, codeLogPosteriors, ELEMENTS_PER_SLOT } from './soft-characters.ts';
export * from './types.ts';
