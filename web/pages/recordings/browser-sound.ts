import { ApiProblem } from '../../api/problem.ts';

/** Sound as this browser decoded it. */
export interface BrowserSound {
  readonly sampleRateHz: number;
  readonly channels: readonly Float32Array<ArrayBuffer>[];
  /** Of the file; null where the page may not compute it. */
  readonly sha256: string | null;
}

/** Enough for every tone that a voice channel carries; a browser decodes into memory at once, and more rate is more of it. */
const RATE_HZ = 16_000;
/** A browser holds all samples at the file's own rate meanwhile: some 460 MB for this, at 48 kHz and two channels. */
const MOST_SECONDS = 20 * 60;
const MOST_BYTES = 256 * 2 ** 20;
/** Where even the browser cannot tell how long it is: an hour or so of the most packed speech. */
const MOST_BYTES_UNTOLD = 4 * 2 ** 20;
const PATIENCE_MS = 10_000;

/**
 * The sound of a file by the browser's own decoders.
 *
 * @param container what a person calls the kind of the file.
 * @throws ApiProblem `too-long-here`, `browser-cannot-read`.
 */
export async function soundByBrowser(file: File, container: string): Promise<BrowserSound> {
  const seconds = file.size > MOST_BYTES ? null : await lengthOf(file);
  const most = seconds === null ? MOST_BYTES_UNTOLD : MOST_BYTES;
  if (file.size > most || (seconds !== null && seconds > MOST_SECONDS)) {
    const length = seconds === null ? `${Math.ceil(file.size / 2 ** 20)} MB` : `${Math.ceil(seconds / 60)} minutes`;
    throw new ApiProblem(
      'too-long-here',
      0,
      `This server cannot read ${container}, and ${length} of it are too much for this browser, which reads up to ` +
        `${MOST_SECONDS / 60} minutes at once. Cut it into shorter ones, or convert it to WAV, FLAC or MP3.`,
    );
  }
  const bytes = await file.arrayBuffer();
  // Only pages that came over HTTPS may.
  const digest = await crypto.subtle?.digest('SHA-256', bytes);
  const sha256 = digest === undefined ? null : hex(new Uint8Array(digest));
  const buffer = await new OfflineAudioContext(1, 1, RATE_HZ).decodeAudioData(bytes).catch(() => {
    throw new ApiProblem(
      'browser-cannot-read',
      0,
      `Neither this server nor this browser can read this file (${container}): it is damaged, holds no sound, or is of a ` +
        'kind that another browser may read. Convert it to WAV, FLAC or MP3.',
    );
  });
  const channels = Array.from({ length: buffer.numberOfChannels }, (_, channel) => {
    const samples = new Float32Array(buffer.length);
    buffer.copyFromChannel(samples, channel);
    return samples;
  });
  return { sampleRateHz: buffer.sampleRate, channels, sha256 };
}

/** Seconds that the browser says it lasts, without decoding it; null where it does not know. */
async function lengthOf(file: File): Promise<number | null> {
  const media = document.createElement('video');
  const url = URL.createObjectURL(file);
  try {
    media.preload = 'metadata';
    media.src = url;
    if (!(await heard(media, 'loadedmetadata'))) return null;
    if (Number.isFinite(media.duration)) return media.duration;
    // Recorders that stream leave the length out; looking for the end finds it.
    media.currentTime = Number.MAX_SAFE_INTEGER;
    while (!Number.isFinite(media.duration)) if (!(await heard(media, 'durationchange'))) return null;
    return media.duration;
  } finally {
    media.removeAttribute('src');
    media.load();
    URL.revokeObjectURL(url);
  }
}

function heard(media: HTMLMediaElement, event: string): Promise<boolean> {
  return new Promise((resolve) => {
    media.addEventListener(event, () => resolve(true), { once: true });
    media.addEventListener('error', () => resolve(false), { once: true });
    window.setTimeout(() => resolve(false), PATIENCE_MS);
  });
}

function hex(bytes: Uint8Array): string {
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
}
