/** What a sender may ask of the server; each refusal names the limit. Addresses are kept in memory only. */
export interface Limits {
  readonly recordingBytes: number;
  /** Bursts cut out of a recording, as one file. */
  readonly cutOutBytes: number;
  /** Per sender: a station by its key, anyone else by address. */
  readonly recordingsPerHour: number;
  readonly linesPerMinute: number;
  readonly requestsPerMinute: number;
  /** JSON bodies. */
  readonly bodyBytes: number;
  /** Left free on the disk for the database. */
  readonly freeBytesKept: number;
  readonly liveConnections: number;
  /** Stations' live streams, each decoded in a thread of its own. */
  readonly listenStreams: number;
  readonly listenStreamsPerStation: number;
}

const MIB = 2 ** 20;

export const DEFAULT_LIMITS: Limits = {
  recordingBytes: 4096 * MIB,
  cutOutBytes: 64 * MIB,
  recordingsPerHour: 600,
  linesPerMinute: 120,
  requestsPerMinute: 3000,
  bodyBytes: MIB,
  freeBytesKept: 256 * MIB,
  liveConnections: 1000,
  listenStreams: 8,
  listenStreamsPerStation: 2,
};
