/** Every message of the HTTP interface: one schema each, from which checks, types and the OpenAPI document follow. */
export * from './messages/bursts.ts';
export * from './messages/common.ts';
export * from './messages/frames.ts';
export * from './messages/health.ts';
export * from './messages/listen.ts';
export * from './messages/live.ts';
export * from './messages/missions.ts';
export * from './messages/now.ts';
export * from './messages/readings.ts';
export * from './messages/recordings.ts';
export * from './messages/settings.ts';
export * from './messages/stations.ts';
