export type { Fault } from './fault.ts';
export { checksOf, fieldsOf, framesOf, partsOf } from './layout.ts';
export { parseMissionText, type ReadMission, readMission } from './read.ts';
export { describeMission, type FrameReport, type MissionReport, type ParameterReport } from './report.ts';
export type * from './types.ts';
