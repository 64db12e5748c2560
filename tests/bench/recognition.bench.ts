import { BandRecogniser, type Verdict, windowFrames } from '../../decoders/iq/recognise.ts';
import type { BandModulation } from '../../decoders/simulate/band.ts';
import { simulateBand } from '../../decoders/simulate/band-recording.ts';
import { Random } from '../../decoders/simulate/random.ts';
import { MATERIALS } from './support/material.ts';
import { CHANNEL, frameShape } from './support/shapes.ts';
import { ARRANGEMENTS, heardOf, type Stereo } from './support/stereo.ts';
import { printTable } from './support/table.ts';
import { runTrials } from './support/trials.ts';
import { proportion } from './support/wilson.ts';

const RATE_HZ = 48_000;
const WINDOWS = 3;
const SHAPE = frameShape('fixed digits', 'crc-16/ibm-3740');
const SEEDS = 3;

interface Row {
  readonly name: string;
  readonly verdict: Verdict;
  /** What was taken for a band that is none, for the list below. */
  readonly stereo?: string;
}

const SENDERS: readonly { readonly modulation: BandModulation; readonly cn0DbHz: readonly number[] }[] = [
  { modulation: { kind: 'fsk' }, cn0DbHz: [30, 45, 60] },
  { modulation: { kind: 'fm', peakDeviationHz: 3000 }, cn0DbHz: [35, 45, 60] },
];
const RATES_HZ = [12_000, 48_000, 250_000];

/**
 * Which of two channels are taken for a complex band when nobody says so: ordinary stereo, of which none should be, and
 * bands with one burst at three levels, which otherwise must be declared.
 */
export async function run(): Promise<void> {
  const rows: Row[] = [];
  await runTrials<Row[]>({ url: import.meta.url, count: SEEDS, trial, take: (some) => rows.push(...some) });
  const names = [...new Set(rows.map(({ name }) => name))].sort();
  printTable(
    `Two channels, nothing declared (95 % intervals)`,
    ['what it is', 'count', 'taken for a band', 'for sound', 'left open: sound'],
    names.map((name) => {
      const of = rows.filter((row) => row.name === name);
      const share = (verdict: Verdict) => proportion(of.filter((row) => row.verdict === verdict).length, of.length);
      return [name, `${of.length}`, share('band'), share('sound'), share('open')];
    }),
  );
  for (const { stereo, verdict } of rows)
    if (stereo !== undefined && verdict === 'band') console.log(`wrong: ${stereo}`);
}

function trial(seed: number): Row[] {
  const rows: Row[] = [];
  for (const material of MATERIALS) {
    const heard = heardOf(material, RATE_HZ, WINDOWS * windowFrames(RATE_HZ), seed + 1);
    for (const [how, arrange] of Object.entries(ARRANGEMENTS)) {
      const stereo = `${material.name}, ${how}, seed ${seed}`;
      rows.push({ name: 'stereo', stereo, verdict: verdictOf(arrange(heard), RATE_HZ) });
    }
  }
  for (const rateHz of RATES_HZ) {
    for (const { modulation, cn0DbHz } of SENDERS) {
      for (const level of cn0DbHz) {
        const name = `${modulation.kind}, ${rateHz / 1000} kHz, ${level} dB-Hz`;
        rows.push({ name, verdict: verdictOf(bandChannels(modulation, level, rateHz, seed), rateHz) });
      }
    }
  }
  return rows;
}

function bandChannels(modulation: BandModulation, cn0DbHz: number, rateHz: number, seed: number): Stereo {
  const random = new Random(seed);
  const reach = Math.min(10_000, rateHz / 2 - 4000);
  const { samples } = simulateBand({
    texts: [SHAPE.draw(random)],
    keying: { alphabet: 'ita2', ...CHANNEL },
    modulation,
    cn0DbHz,
    carrierHz: 145.9e6 + random.uniform(-reach, reach),
    centerHz: 145.9e6,
    sampleRateHz: rateHz,
    seed,
  });
  const words = new Int16Array(Uint8Array.from(Buffer.concat([...samples('pcm16')])).buffer);
  const part = (which: number) =>
    Float32Array.from({ length: words.length / 2 }, (_, i) => words[2 * i + which] / 32_768);
  return [part(0), part(1)];
}

function verdictOf([first, second]: Stereo, rateHz: number): Verdict {
  const recogniser = new BandRecogniser(rateHz);
  return recogniser.add(first, second);
}
