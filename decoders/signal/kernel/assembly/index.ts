export { boxMean } from './boxes';
export { correlateTone } from './correlate';
export { filterDown } from './filter';
