export * from './channel.ts';
export * from './keying.ts';
export * from './morse.ts';
export * from './noise.ts';
export * from './random.ts';
export * from './transmitter.ts';
