import { AudioError } from '../errors.ts';

export type WavSampleFormat = 'pcm16' | 'float32';

export interface WavOptions {
  readonly sampleRateHz: number;
  readonly format: WavSampleFormat;
  /** Said inside the file (LIST INFO ICMT, and bext Description when there is a start). ASCII. */
  readonly comment?: string;
  /** Start of the recording, ISO 8601 with its zone: written as bext (UTC) and as LIST INFO ICRD. */
  readonly startedAt?: string;
}

const BYTES: Readonly<Record<WavSampleFormat, number>> = { pcm16: 2, float32: 4 };
const BEXT_BYTES = 602;

/**
 * A whole WAV file. For long recordings write `wavHeader` first, then blocks through `packSamples`.
 *
 * @param samples one array for mono, else one a channel, all of one length; -1..1, beyond that 16-bit samples are cut.
 */
export function encodeWav(samples: Float32Array | readonly Float32Array[], options: WavOptions): Uint8Array {
  const channels = samples instanceof Float32Array ? [samples] : samples;
  const frames = channels[0]?.length ?? 0;
  const header = wavHeader({ ...options, channels: channels.length, frames });
  const body = packSamples(channels, frames, options.format);
  const file = new Uint8Array(header.length + body.length);
  file.set(header);
  file.set(body, header.length);
  return file;
}

/**
 * Everything of a WAV file that stands before its samples.
 *
 * @throws AudioError `too-long` for what a WAV file cannot hold (4 GiB), `bad-start` for an unreadable `startedAt`.
 */
export function wavHeader(options: WavOptions & { readonly channels: number; readonly frames: number }): Uint8Array {
  const { sampleRateHz, channels, frames, format, comment, startedAt } = options;
  const frameBytes = channels * BYTES[format];
  const start = startedAt === undefined ? null : new Date(startedAt);
  if (start !== null && Number.isNaN(start.getTime())) {
    throw new AudioError('bad-start', `"${startedAt}" is no time; write it as 2030-01-31T12:00:00Z.`);
  }

  const out = new ByteList();
  out.text('RIFF').uint32(0).text('WAVE');
  out.text('fmt ').uint32(format === 'pcm16' ? 16 : 18);
  out.uint16(format === 'pcm16' ? 1 : 3).uint16(channels);
  out.uint32(sampleRateHz).uint32(sampleRateHz * frameBytes);
  out.uint16(frameBytes).uint16(8 * BYTES[format]);
  // A format other than PCM has an extension size and a fact chunk.
  if (format !== 'pcm16') out.uint16(0).text('fact').uint32(4).uint32(frames);
  if (start !== null) writeBext(out, start, sampleRateHz, comment ?? '');
  writeInfo(out, { ICMT: comment, ICRD: start?.toISOString() });
  out.text('data').uint32(frames * frameBytes);

  const header = out.bytes();
  const riffSize = header.length - 8 + frames * frameBytes;
  if (riffSize >= 2 ** 32) {
    throw new AudioError('too-long', `${frames} frames of ${frameBytes} bytes do not fit into a WAV file (4 GiB).`);
  }
  new DataView(header.buffer).setUint32(4, riffSize, true);
  return header;
}

/** Interleaves the first `frames` samples of each channel into the bytes of a WAV data chunk. */
export function packSamples(channels: readonly Float32Array[], frames: number, format: WavSampleFormat): Uint8Array {
  const out =
    format === 'pcm16' ? new Int16Array(frames * channels.length) : new Float32Array(frames * channels.length);
  for (let c = 0; c < channels.length; c++) {
    const channel = channels[c];
    for (let i = 0, j = c; i < frames; i++, j += channels.length) {
      out[j] = format === 'pcm16' ? Math.max(-32768, Math.min(32767, Math.round(32768 * channel[i]))) : channel[i];
    }
  }
  return new Uint8Array(out.buffer);
}

/** Broadcast extension, version 1 (EBU Tech 3285): fields as `startFromBext` reads them. */
function writeBext(out: ByteList, start: Date, sampleRateHz: number, description: string): void {
  const iso = start.toISOString();
  const sinceMidnight = Math.round(((start.getTime() % 86_400_000) / 1000) * sampleRateHz);
  out.text('bext').uint32(BEXT_BYTES);
  out.text(description.slice(0, 256).padEnd(256, '\0')).zeros(32 + 32);
  out.text(iso.slice(0, 10)).text(iso.slice(11, 19));
  out.uint32(sinceMidnight % 2 ** 32).uint32(Math.floor(sinceMidnight / 2 ** 32));
  out.uint16(1).zeros(BEXT_BYTES - 348);
}

function writeInfo(out: ByteList, items: Readonly<Record<string, string | undefined>>): void {
  const info = new ByteList();
  for (const [id, text] of Object.entries(items)) {
    if (text === undefined) continue;
    // Zero-terminated and padded to an even length, the pad not counted (RIFF).
    info
      .text(id)
      .uint32(text.length + 1)
      .text(text)
      .zeros(text.length % 2 === 0 ? 2 : 1);
  }
  const body = info.bytes();
  if (body.length === 0) return;
  out
    .text('LIST')
    .uint32(4 + body.length)
    .text('INFO')
    .append(body);
}

/** Little-endian bytes, one after another. */
class ByteList {
  readonly #bytes: number[] = [];

  text(text: string): this {
    for (const character of text) this.#bytes.push(character.length === 1 ? character.charCodeAt(0) & 0x7f : 0x3f);
    return this;
  }

  uint16(value: number): this {
    this.#bytes.push(value & 0xff, (value >>> 8) & 0xff);
    return this;
  }

  uint32(value: number): this {
    return this.uint16(value & 0xffff).uint16(value >>> 16);
  }

  zeros(count: number): this {
    for (let i = 0; i < count; i++) this.#bytes.push(0);
    return this;
  }

  append(bytes: Uint8Array): this {
    for (const byte of bytes) this.#bytes.push(byte);
    return this;
  }

  bytes(): Uint8Array {
    return Uint8Array.from(this.#bytes);
  }
}
