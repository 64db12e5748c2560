/** The whole way from the bytes of a recording to readings, and from a typed line. */
export * from './decode.ts';
export * from './errors.ts';
export { readTypedText } from './frames/typed.ts';
export { parseMissionText, readMission } from './mission/read.ts';
export { createRecordingDecoder } from './recording.ts';
