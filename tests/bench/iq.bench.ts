import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { createRecordingDecoder } from '../../decoders/recording.ts';
import type { BandModulation } from '../../decoders/simulate/band.ts';
import { simulateBand } from '../../decoders/simulate/band-recording.ts';
import { Random } from '../../decoders/simulate/random.ts';
import { measureNode } from './support/process-cost.ts';
import { CHANNEL, frameShape } from './support/shapes.ts';
import { printTable } from './support/table.ts';
import { proportion } from './support/wilson.ts';

const CLI = join(dirname(fileURLToPath(import.meta.url)), '..', '..', 'dist', 'server', 'main.js');
const SHAPE = frameShape('fixed digits', 'crc-16/ibm-3740');
const BURSTS = 10;
const INTERVAL_SECONDS = 62;
/** Low and right overhead, the fastest Doppler at 2 m; and a low pass. */
const PASSES = { overhead: 90, low: 15 } as const;
const FSK: BandModulation = { kind: 'fsk' };
const FM: BandModulation = { kind: 'fm', peakDeviationHz: 3000 };
/** Narrow and usual receivers, the widest band that is searched well as a whole, and one of which a part is. */
const RATES_HZ = [12_000, 48_000, 250_000, 2_400_000];
/** A whole pass of the widest would be 5 GB. */
const BURSTS_OF_WIDE = 2;

/**
 * Complex bands with a whole pass of ten minutes (400 km, 145.9 MHz), ten bursts 7.3 kHz beside the middle (2 kHz in narrow
 * bands). Frames: confirmed and right. Carrier: furthest of all points of all bursts from where it was sent. Then what
 * whole processes take, of which the files hold the same kind of pass.
 */
export async function run(): Promise<void> {
  const levels = [
    { name: 'keyed carrier', modulation: FSK, cn0DbHz: [24.6, 26.6, 30] },
    { name: 'FM, deviation 3 kHz', modulation: FM, cn0DbHz: [30, 32, 35, 45] },
  ];
  const rows = levels.flatMap(({ name, modulation, cn0DbHz }) =>
    cn0DbHz.flatMap((level) =>
      Object.entries(PASSES).map(([pass, elevation]) => [
        name,
        `${level}`,
        pass,
        ...readPass(modulation, level, elevation),
      ]),
    ),
  );
  const heads = ['sender', 'C/N0 dB-Hz', 'pass', 'frames', 'besides', 'carrier Hz', 'its sigma'];
  printTable(`Frames and carrier at 20 kHz, ${BURSTS} bursts a row (95 % intervals)`, heads, rows);
  printCosts();
}

/** What whole processes take, which needs minutes by itself. */
export function printCosts(): void {
  const folder = mkdtempSync(join(tmpdir(), 'fiveunit-bench-'));
  try {
    const empty = measureNode(folder, ['-e', '0']);
    const costs = RATES_HZ.map((rateHz) => costOf(folder, rateHz, empty.peakMegabytes));
    printTable('Whole process, FM at 40 dB-Hz, one pass', ['rate Hz', 'real time', 'CPU s', 'above empty, MB'], costs);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

function passOf(modulation: BandModulation, cn0DbHz: number, elevation: number, rateHz: number) {
  const random = new Random(7 + 100 * cn0DbHz + elevation);
  const offsetHz = rateHz < 40_000 ? 2000 : 7300;
  const band = simulateBand({
    texts: Array.from({ length: BURSTS }, () => SHAPE.draw(random)),
    keying: { alphabet: 'ita2', ...CHANNEL },
    modulation,
    cn0DbHz,
    carrierHz: 145.9e6,
    centerHz: 145.9e6 - offsetHz,
    pass: { heightKm: 400, maxElevationDegrees: elevation, closestSeconds: (BURSTS * INTERVAL_SECONDS) / 2 },
    intervalSeconds: INTERVAL_SECONDS,
    sampleRateHz: rateHz,
    seed: 1 + elevation,
  });
  return band;
}

function readPass(modulation: BandModulation, cn0DbHz: number, elevation: number): string[] {
  const band = passOf(modulation, cn0DbHz, elevation, 20_000);
  const decoder = createRecordingDecoder({ missions: [SHAPE.mission], sigmfMeta: band.sigmfMeta('pcm16') });
  const texts = new Set(band.bursts.map(({ text }) => text));
  let right = 0;
  let bursts = 0;
  let furthest = 0;
  let sigma = 0;
  const take: Parameters<typeof decoder.push>[1] = (event) => {
    if (event.type !== 'burst') return;
    bursts++;
    if (event.frames.some(({ frame }) => frame.trust === 'confirmed' && texts.delete(frame.text))) right++;
    const { carrier } = event.burst;
    for (const point of carrier?.track ?? []) {
      furthest = Math.max(furthest, Math.abs(point.carrierHz - band.carrierAt(point.seconds)));
    }
    sigma = Math.max(sigma, carrier?.uncertaintyHz ?? 0);
  };
  for (const piece of band.samples('pcm16')) decoder.push(piece, take);
  decoder.end(take);
  return [proportion(right, BURSTS), `${Math.max(0, bursts - BURSTS)}`, furthest.toFixed(2), sigma.toFixed(2)];
}

function costOf(folder: string, rateHz: number, emptyMegabytes: number): string[] {
  const file = join(folder, `${rateHz}.sigmf-data`);
  const modulation = rateHz < 20_000 ? FSK : FM;
  const noise = modulation.kind === 'fm' ? ['--fm-cnr', '40'] : ['--eb-n0', '20'];
  const bursts = rateHz > 1e6 ? BURSTS_OF_WIDE : BURSTS;
  const random = new Random(rateHz);
  const texts = Array.from({ length: bursts }, () => ['--text', SHAPE.draw(random)]).flat();
  const pass = ['--iq', modulation.kind, '--pass-height', '400', '--interval', `${INTERVAL_SECONDS}`, ...noise];
  const place = ['--carrier', '145900000', '--centre', `${145_900_000 - (rateHz < 40_000 ? 1500 : 7300)}`];
  measureNode(folder, [CLI, 'simulate', '--out', file, ...texts, ...pass, ...place, '--rate', `${rateHz}`]);
  const cost = measureNode(folder, [CLI, 'decode', file, '--format', 'ndjson']);
  rmSync(file);
  const seconds = (bursts - 1) * INTERVAL_SECONDS + 14;
  return [
    `${rateHz}`,
    `${(seconds / cost.cpuSeconds).toFixed(1)} x`,
    cost.cpuSeconds.toFixed(1),
    (cost.peakMegabytes - emptyMegabytes).toFixed(0),
  ];
}
