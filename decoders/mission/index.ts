export type { Fault } from './fault.ts';
export { parseMissionText, type ReadMission, readMission } from './read.ts';
export type * from './types.ts';
