import { softByClock } from '../../decoders/frames/clock-search.ts';
import { compileMission } from '../../decoders/frames/compiled-mission.ts';
import { findHeldPhase } from '../../decoders/frames/deep/held-phase.ts';
import { readByTone } from '../../decoders/frames/deep/read-by-tone.ts';
import { matchFrames } from '../../decoders/frames/match.ts';
import { Random } from '../../decoders/simulate/random.ts';
import type { PhaseLaw } from '../../decoders/simulate/transmitter.ts';
import { encode } from '../../decoders/teletype/alphabets.ts';
import type { DemodulatedBurst } from '../../decoders/teletype/demodulate.ts';
import { readBursts } from './support/reading.ts';
import { frameShape } from './support/shapes.ts';
import { noisyBurst } from './support/signal.ts';
import { printTable } from './support/table.ts';
import { runTrials } from './support/trials.ts';
import { proportion } from './support/wilson.ts';

/** Of each row. `FIVEUNIT_BENCH_FRAMES` sets another number, for a long run. */
const FRAMES = Number(process.env.FIVEUNIT_BENCH_FRAMES ?? 20);
const LEVELS_DB = [1, 2, 3, 5, 7];

const CHOICES = ['held through', 'as oscillators', 'as tone', 'none'] as const;
type Choice = (typeof CHOICES)[number];

const SENDERS: readonly { readonly phase: PhaseLaw; readonly right: Choice }[] = [
  { phase: 'continuous', right: 'held through' },
  { phase: 'switched', right: 'as oscillators' },
  { phase: 'random', right: 'as tone' },
];
const ROWS = SENDERS.flatMap((sender) => LEVELS_DB.map((ebN0Db) => ({ ...sender, ebN0Db })));

/** What is found of a sender's phase, of bursts in which the frame was placed at all. */
export async function run(): Promise<void> {
  const counts = ROWS.map(() => new Map<Choice, number>());
  await runTrials<readonly (Choice | null)[]>({
    url: import.meta.url,
    count: FRAMES,
    trial: (seed) => ROWS.map(({ phase, ebN0Db }, i) => choose(phase, ebN0Db, 1000 * i + seed)),
    take: (choices) => {
      choices.forEach((choice, i) => {
        if (choice !== null) counts[i].set(choice, (counts[i].get(choice) ?? 0) + 1);
      });
    },
  });
  printTable(
    `What the sender's phase does, ${FRAMES} bursts a row (95 % intervals)`,
    ['sender', 'Eb/N0 dB', 'placed', ...CHOICES, 'right'],
    ROWS.map(({ phase, right, ebN0Db }, i) => {
      const each = CHOICES.map((choice) => counts[i].get(choice) ?? 0);
      const placed = each.reduce((a, b) => a + b, 0);
      return [phase, `${ebN0Db}`, `${placed}`, ...each.map(String), proportion(counts[i].get(right) ?? 0, placed)];
    }),
  );
}

function choose(phase: PhaseLaw, ebN0Db: number, seed: number): Choice | null {
  const random = new Random(seed);
  const { mission, draw } = frameShape('fixed digits', 'crc-16/ibm-3740');
  const codes = encode(draw(random), 'ita2', { startShift: 'unknown' });
  const { samples } = noisyBurst({ codes, ebN0Db, random, phase });
  for (const signal of readBursts(samples, mission)) {
    const fromSlot = matchFrames(signal.soft, [mission])[0]?.fromSlot;
    if (fromSlot !== undefined) return phaseOf(signal, fromSlot);
    const onClock = softByClock(signal, [LAYOUT]);
    if (onClock) return phaseOf({ ...signal, ...onClock }, onClock.span.from);
  }
  return null;
}

const [LAYOUT] = compileMission(frameShape('fixed digits', 'crc-16/ibm-3740').mission);

function phaseOf(signal: DemodulatedBurst, fromSlot: number): Choice {
  if (findHeldPhase(signal, LAYOUT, fromSlot)) return 'held through';
  const holds = readByTone(signal)?.holds;
  return holds === undefined ? 'none' : holds === 'as-tone' ? 'as tone' : 'as oscillators';
}
