import { agreementOf, cutOut, findBursts, readingOf } from '../../decoders/cut-outs/index.ts';
import type { DecodeEvent, FrameWithReadings } from '../../decoders/decode.ts';
import { createRecordingDecoder } from '../../decoders/recording.ts';
import type { BandModulation } from '../../decoders/simulate/band.ts';
import { simulateBand } from '../../decoders/simulate/band-recording.ts';
import { Random } from '../../decoders/simulate/random.ts';
import { CHANNEL, frameShape } from './support/shapes.ts';
import { printTable } from './support/table.ts';

const SHAPE = frameShape('fixed digits', 'crc-16/ibm-3740');
const MISSIONS = [SHAPE.mission];
const BURSTS = 10;
const INTERVAL_SECONDS = 62;
const ELEVATIONS = [90, 15];
const SENDERS: readonly {
  readonly name: string;
  readonly modulation: BandModulation;
  readonly cn0DbHz: readonly number[];
}[] = [
  { name: 'keyed carrier', modulation: { kind: 'fsk' }, cn0DbHz: [23.6, 24.6, 26.6] },
  { name: 'FM, deviation 3 kHz', modulation: { kind: 'fm', peakDeviationHz: 3000 }, cn0DbHz: [28, 30, 33] },
];

/**
 * What bursts of a complex band lose by being cut out as sound: two passes of ten bursts at each level, low and right overhead.
 * Frames: confirmed and right, in the band and in the cut-outs. Elements: how many of those read in the band are read in the
 * cut-out, too.
 */
export async function run(): Promise<void> {
  const rows: string[][] = [];
  for (const { name, modulation, cn0DbHz } of SENDERS) {
    for (const level of cn0DbHz) rows.push([name, `${level}`, ...(await readBoth(modulation, level))]);
  }
  const heads = ['sender', 'C/N0 dB-Hz', 'frames in band', 'in cut-outs', 'elements', 'Eb/N0, dB', 'kB a burst'];
  printTable(`Bursts of a band read again as sound, ${ELEVATIONS.length * BURSTS} a row`, heads, rows);
}

async function readBoth(modulation: BandModulation, cn0DbHz: number): Promise<string[]> {
  const sums = { inBand: 0, inSound: 0, elements: 0, agreeing: 0, ebN0Db: 0, read: 0, bytes: 0, cutOuts: 0 };
  for (const elevation of ELEVATIONS) {
    const random = new Random(7 + 100 * cn0DbHz + elevation);
    const band = simulateBand({
      texts: Array.from({ length: BURSTS }, () => SHAPE.draw(random)),
      keying: { alphabet: 'ita2', ...CHANNEL },
      modulation,
      cn0DbHz,
      carrierHz: 145.9e6,
      centerHz: 145.9e6 - 3000,
      pass: { heightKm: 400, maxElevationDegrees: elevation, closestSeconds: (BURSTS * INTERVAL_SECONDS) / 2 },
      intervalSeconds: INTERVAL_SECONDS,
      sampleRateHz: 24_000,
      seed: 1 + elevation,
    });
    const options = { missions: MISSIONS, sigmfMeta: band.sigmfMeta('pcm16') };
    const pieces = [...band.samples('pcm16')];
    const texts = new Set(band.bursts.map(({ text }) => text));
    const found = await findBursts(pieces, options);
    sums.inBand += rightOf(found.frames, texts);
    const heard: FrameWithReadings[] = [];
    for await (const one of cutOut(pieces, found, options)) {
      const bursts = burstsOf(one.flac);
      heard.push(...bursts.flatMap(({ frames }) => frames));
      const { elements, agreeing } = agreementOf(
        readingOf(one),
        bursts.map(({ burst }) => burst),
      );
      sums.elements += elements;
      sums.agreeing += agreeing;
      sums.bytes += one.flac.length;
      sums.cutOuts++;
      if (bursts.length === 0) continue;
      sums.ebN0Db += Math.max(...bursts.map(({ burst }) => burst.ebN0Db)) - one.bursts[0].ebN0Db;
      sums.read++;
    }
    sums.inSound += rightOf(heard, texts);
  }
  return [
    `${sums.inBand}`,
    `${sums.inSound}`,
    `${((100 * sums.agreeing) / sums.elements).toFixed(1)} %`,
    (sums.ebN0Db / sums.read).toFixed(2),
    (sums.bytes / sums.cutOuts / 1000).toFixed(0),
  ];
}

function rightOf(frames: readonly FrameWithReadings[], texts: ReadonlySet<string>): number {
  const right = frames.filter(({ frame }) => frame.trust === 'confirmed' && texts.has(frame.text));
  return new Set(right.map(({ frame }) => frame.text)).size;
}

function burstsOf(flac: Uint8Array): Extract<DecodeEvent, { type: 'burst' }>[] {
  const bursts: Extract<DecodeEvent, { type: 'burst' }>[] = [];
  const decoder = createRecordingDecoder({ missions: MISSIONS });
  const take = (event: DecodeEvent): void => {
    if (event.type === 'burst') bursts.push(event);
  };
  decoder.push(flac, take);
  decoder.end(take);
  return bursts;
}
