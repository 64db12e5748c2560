export { boxMean } from './boxes';
export { correlateTone } from './correlate';
export { filterDown } from './filter';
export { filterComplex, mix } from './mix-down';
export { framePowers } from './spectra';
