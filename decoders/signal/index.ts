export { type AcquirerOptions, createAcquirer } from './acquirer.ts';
export { createDecimator, type Decimator, WORKING_RATE_HZ } from './decimate.ts';
export * from './types.ts';
