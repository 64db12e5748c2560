import { readFileSync } from 'node:fs';
import {
  FlacWriter,
  LONGEST_SECONDS,
  PREPARE_BYTES,
  prepareAudio,
  RecordingReader,
} from '../../../dist/decoders/audio/index.js';
import { parseMpegHeader } from '../../../dist/decoders/audio/mpeg/frame-header.js';
import { pageCrc } from '../../../dist/decoders/audio/ogg/crc.js';

// `node read-long.mjs FILE HOURS`: reads a recording of so many hours, made from a short one as it is read, and says how long it was.
const [, , path, hours] = process.argv;
const file = new Uint8Array(readFileSync(path));
const codecs = await prepareAudio(file.subarray(0, PREPARE_BYTES));
const reader = new RecordingReader({ codecs });
const wanted = Number(hours) * 3600;
// What is longer is cut off by the reader, and would never end here.
if (!(wanted > 0 && wanted < LONGEST_SECONDS)) throw new Error(`${hours} h: more than 0 and less than 24 can be read`);
let seconds = 0;
const count = ({ frames }) => {
  seconds += frames / reader.info.sampleRateHz;
};

/** Chunks of samples whose size nobody knows, again and again. */
function* looped(id, headBytes) {
  const body = Buffer.from(file).indexOf(id);
  const begin = body + 8 + headBytes;
  const head = file.slice(0, begin);
  head.fill(0xff, body + 4, body + 8);
  yield head;
  for (;;) yield file.subarray(begin);
}

function* flac() {
  const given = [];
  const short = new RecordingReader();
  const keep = ({ channels, frames }) => given.push(channels.map((channel) => channel.slice(0, frames)));
  short.push(file, keep);
  short.end(keep);
  const writer = new FlacWriter({ sampleRateHz: short.info.sampleRateHz, channels: short.info.channels });
  for (;;) {
    for (const block of given) {
      const pieces = [];
      writer.push(block, block[0].length, (bytes) => pieces.push(bytes.slice()));
      yield* pieces;
    }
  }
}

/** Frames again and again, without the first, which counts them. */
function* mpeg() {
  const frames = file.subarray(parseMpegHeader(file, 0).bytes);
  for (;;) yield frames;
}

/** The pages of the sound again and again, numbered and timed on. */
function* ogg() {
  const view = new DataView(file.buffer);
  const pages = [];
  for (let at = 0; at < file.length; ) {
    const lacing = file.subarray(at + 27, at + 27 + file[at + 26]);
    const size = 27 + lacing.length + lacing.reduce((sum, each) => sum + each, 0);
    pages.push({ bytes: file.slice(at, at + size), granule: Number(view.getBigInt64(at + 6, true)) });
    at += size;
  }
  const last = pages.at(-1).granule;
  let sequence = 0;
  for (let round = 0; ; round++) {
    for (const { bytes, granule } of pages) {
      if (round > 0 && granule <= 0) continue;
      const page = new DataView(bytes.buffer);
      if (granule > 0) page.setBigInt64(6, BigInt(granule + round * last), true);
      bytes[5] &= ~4;
      page.setUint32(18, sequence++, true);
      page.setUint32(22, 0, true);
      page.setUint32(22, pageCrc(bytes, 0, bytes.length), true);
      yield bytes;
    }
  }
}

const makers = {
  wav: () => looped('data', 0),
  aiff: () => looped('SSND', 8),
  flac,
  mp3: mpeg,
  ogg,
  opus: ogg,
};
for (const bytes of makers[path.split('.').at(-1)]()) {
  reader.push(bytes, count);
  if (seconds >= wanted) break;
}
reader.end(count);
if (reader.problems.some(({ code }) => code === 'damaged')) throw new Error(`damaged: ${reader.problems[0].message}`);
