export * from './channel-choice.ts';
export * from './g711.ts';
export * from './open.ts';
export * from './sample-format.ts';
export * from './sample-stream.ts';
export * from './types.ts';
export * from './wav.ts';
export * from './wav-write.ts';
