import { Random } from '../../decoders/simulate/random.ts';
import { encode } from '../../decoders/teletype/alphabets.ts';
import { readSamples } from './support/reading.ts';
import { frameShape } from './support/shapes.ts';
import { noisyBurst } from './support/signal.ts';
export async function run(): Promise<void> {
  (globalThis as any).DBG = (x: any) => { if (x.whole && x.p < 2e-2) console.log(Object.entries(x).map(([k, v]) => k + ' ' + (typeof v === 'number' ? (k === 'n' ? v : v.toExponential(1)) : Array.isArray(v) ? v.map((y) => y.toExponential(1)).join() : v)).join('  ')); };
  const n = Number(process.env.N ?? 60); let ok = 0; const c: number[] = []; let w = 0;
  const { mission, draw } = frameShape('fixed digits', (process.env.CS ?? 'crc-8/smbus') as 'crc-8/smbus');
  for (let seed = 0; seed < n; seed++) {
    const random = new Random(4_440_000 + seed);
    const text = draw(random);
    const { samples } = noisyBurst({ codes: encode(text, 'ita2', { startShift: 'unknown' }), ebN0Db: 3.5, random, phase: 'continuous' });
    const { frames } = readSamples(samples, mission);
    const f = frames.find((x) => x.complete);
    if (f?.trust === 'confirmed') { if (f.text === text) ok++; else w++; }
    c.push(f ? 1 - f.confidence : 1);
  }
  console.log(ok, w, n, c.filter((x) => x < 1e-4).length, c.filter((x) => x < 2e-4).length, c.filter((x) => x < 4e-4).length);
}
