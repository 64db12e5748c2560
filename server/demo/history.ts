import { renderFrame } from '../../decoders/frames/render.ts';
import type { Mission } from '../../decoders/mission/types.ts';
import { Random } from '../../decoders/simulate/index.ts';
import { DOUBTFUL_MARK } from '../../decoders/teletype/print.ts';
import { type Look, lookAt } from './orbit.ts';
import { fly, STEP_SECONDS, type Story } from './satellite.ts';
import { DEMO_STATIONS, type DemoStation, demoOrbit, LOWEST_ELEVATION_DEG } from './scene.ts';
import type { Vector } from './sun.ts';
import { type Telemetry, telemetryOf } from './telemetry.ts';

/** A frame as a station's decoder printed it. */
export interface HeardFrame {
  readonly station: string;
  readonly receivedAtMs: number;
  readonly text: string;
}

const SEED = 20_481;
const DAY_SECONDS = 86_400;
/** The flight starts before the history does, so that heat and charge have settled. */
const SETTLING_SECONDS = 2 * DAY_SECONDS;
const HISTORY_SECONDS = 14 * DAY_SECONDS;
const TRANSMISSION_EVERY_STEPS = 60 / STEP_SECONDS;
const FIRST_COUNT = 31_000;

const STORY: Story = {
  payloadStuckFromSeconds: SETTLING_SECONDS + 5.3 * DAY_SECONDS,
  upsetAtSeconds: SETTLING_SECONDS + 9.6 * DAY_SECONDS,
};

/** Eb/N0 of a station without merits or faults, with the satellite straight above it at 500 km. */
const OVERHEAD_EB_N0_DB = 21;
const OVERHEAD_RANGE_KM = 500;
const FADING_DB = 2.5;
/** Whole frames in half of the cases. */
const HALF_EB_N0_DB = 8.5;
const SLOPE_DB = 0.7;
/** So far below, a decoder still prints most of the characters. */
const PARTIAL_DB = 0.8;
/** Of the characters of such a frame. */
const UNREAD_SHARE = 0.05;

/** What the satellite sent in one minute of the history. */
export interface Transmission extends Telemetry {
  readonly timeMs: number;
  readonly positionKm: Vector;
}

/** Everything that the satellite sent in the two weeks up to `nowMs`, one frame a minute, heard or not. */
export function* demoTransmissions(nowMs: number): Generator<Transmission> {
  const fromMs = nowMs - (SETTLING_SECONDS + HISTORY_SECONDS) * 1000;
  const sensors = new Random(SEED).branch('sensors');
  let step = 0;
  for (const state of fly(demoOrbit(nowMs), fromMs, STORY, SEED)) {
    const { timeMs, positionKm } = state;
    if (timeMs > nowMs) return;
    const seconds = step * STEP_SECONDS;
    const sends = step++ % TRANSMISSION_EVERY_STEPS === 0;
    if (!sends || seconds < SETTLING_SECONDS) continue;
    yield { timeMs, positionKm, ...telemetryOf(state, FIRST_COUNT + seconds / 60, sensors) };
  }
}

/**
 * Two weeks of frames that invented stations heard of the invented satellite, oldest first, ending at `nowMs`.
 * Pure: the same `nowMs` gives the same history.
 */
export function* demoHistory(mission: Mission, nowMs: number): Generator<HeardFrame> {
  const random = new Random(SEED);
  const listening = new ListeningPlan(random.branch('listening'));
  const air = random.branch('air');
  for (const { timeMs, positionKm, frame, values } of demoTransmissions(nowMs)) {
    const hearing = DEMO_STATIONS.map((station) => ({ station, look: lookAt(positionKm, station, timeMs) })).filter(
      ({ station, look }) => listening.isOn(station, look),
    );
    if (hearing.length === 0) continue;
    const text = renderFrame(mission, frame, values);
    for (const { station, look } of hearing) {
      const heard = throughTheAir(text, ebN0Db(station, look, air), air);
      if (heard !== null) yield { station: station.callSign, receivedAtMs: timeMs, text: heard };
    }
  }
}

/** Who listens to which pass: decided once, when a pass begins. */
class ListeningPlan {
  readonly #random: Random;
  readonly #passes = new Map<DemoStation, boolean>();

  constructor(random: Random) {
    this.#random = random;
  }

  isOn(station: DemoStation, look: Look): boolean {
    if (look.elevationDeg < LOWEST_ELEVATION_DEG) {
      this.#passes.delete(station);
      return false;
    }
    const listens = this.#passes.get(station) ?? this.#random.uniform() < station.diligence;
    this.#passes.set(station, listens);
    return listens;
  }
}

function ebN0Db(station: DemoStation, look: Look, random: Random): number {
  const spreadDb = 20 * Math.log10(OVERHEAD_RANGE_KM / look.rangeKm);
  return OVERHEAD_EB_N0_DB + station.gainDb + spreadDb + FADING_DB * random.gaussian();
}

/** The text as printed, with marks for what could not be read; null when nothing useful arrived. */
function throughTheAir(text: string, ebN0: number, random: Random): string | null {
  const wholeProbability = 1 / (1 + Math.exp((HALF_EB_N0_DB - ebN0) / SLOPE_DB));
  if (random.uniform() < wholeProbability) return text;
  if (ebN0 < HALF_EB_N0_DB - PARTIAL_DB) return null;
  return [...text].map((character) => (random.uniform() < UNREAD_SHARE ? DOUBTFUL_MARK : character)).join('');
}
