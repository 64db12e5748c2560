export * from './keyed.ts';
export * from './languages.ts';
export * from './music.ts';
export * from './noise.ts';
export * from './speech.ts';
export * from './tones.ts';
