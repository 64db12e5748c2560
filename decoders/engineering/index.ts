export { calibrate } from './calibration.ts';
export { limitState, limitsInForce, type Side, sideOf } from './limits.ts';
export { observe, type Persistence, UNCHECKED } from './persistence.ts';
export { type ParameterRange, rangeOf } from './range.ts';
export { type FrameForReadings, type ReadingOptions, readingsOf } from './readings.ts';
export type { LimitState, Reading } from './types.ts';
export { parseUnit, type Unit } from './units.ts';
