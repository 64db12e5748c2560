import type { AudioProblem } from './audio/types.ts';
import { outOfStep } from './beacon-rhythm.ts';
import type { DecodeEvent } from './decode.ts';
import { rangeOf } from './engineering/range.ts';
import { parseUnit } from './engineering/units.ts';
import { isPractice } from './mission/practice.ts';
import type { Mission } from './mission/types.ts';

type BurstEvent = Extract<DecodeEvent, { type: 'burst' }>;

/** What a satellite's clock may differ from a recorder's: its rate, and the moment at which a frame takes the time. */
const CLOCK_RATE_ERROR = 0.02;
const CLOCK_SECONDS = 10;
/** No pass lasts longer: such a step is no time that a recorder left out. */
const MOST_SKIPPED_SECONDS = 7 * 86_400;

/** A place behind which seconds of a recording are not seconds of time. */
interface Gap {
  readonly fromSeconds: number;
  readonly toSeconds: number;
  readonly missingSeconds: number | null;
}

interface Clock {
  readonly atSeconds: number;
  readonly uptimeSeconds: number;
}

/**
 * Time that a recorder left out, by the clock of the satellite that it heard: its `uptime` goes on further than the recording
 * does, or its transmissions are out of step. Sound alone cannot tell: the edge where a squelch opens looks like the edge that a
 * recorder leaves which skips silence.
 *
 * Memory: a few numbers a frame.
 */
export class SkippedTime {
  readonly #missions: ReadonlyMap<string, Mission>;
  /** Times of one kind of frame, by mission and kind. */
  readonly #kinds = new Map<string, { readonly mission: Mission; readonly times: number[] }>();
  readonly #clocks = new Map<string, Clock>();
  readonly #gaps: Gap[] = [];

  constructor(missions: readonly Mission[]) {
    this.#missions = new Map(missions.map((mission) => [mission.id, mission]));
  }

  /** Takes bursts in the order of the recording. */
  take({ frames }: BurstEvent): void {
    for (const found of frames) {
      const mission = this.#missions.get(found.mission);
      // Practice keeps neither interval nor clock.
      if (mission === undefined || found.frame.trust === 'doubtful' || isPractice(found.frame.text)) continue;
      const { frame: kind, startSeconds } = found.frame;
      this.#takeUptime(mission, startSeconds, found.readings);
      const layout = mission.frames.find(({ id }) => id === kind);
      if (layout === undefined || layout.repeats > 1) continue;
      const key = `${mission.id} ${kind}`;
      const of = this.#kinds.get(key) ?? { mission, times: [] };
      this.#kinds.set(key, of);
      of.times.push(startSeconds);
    }
  }

  /** One `time-gaps` problem: where the first of them is, behind which no time is sure. */
  problems(): AudioProblem[] {
    const gaps = [...this.#gaps, ...[...this.#kinds.values()].flatMap(({ mission, times }) => gapsOf(mission, times))];
    const first = gaps.sort((a, b) => a.fromSeconds - b.fromSeconds)[0];
    if (first === undefined) return [];
    const { fromSeconds, toSeconds, missingSeconds } = first;
    const between = `between ${Math.round(fromSeconds)} and ${Math.round(toSeconds)} s`;
    const why =
      missingSeconds === null
        ? `its transmissions are out of step ${between}`
        : `its clock goes on by ${Math.round(missingSeconds)} s more than the recording ${between}`;
    const message =
      `This recording may have skipped time, by what the satellite says: ${why}. Did the recorder pause at silence, or were ` +
      'files joined? Times behind that are uncertain.';
    return [{ code: 'time-gaps', message, atSeconds: fromSeconds }];
  }

  #takeUptime(mission: Mission, atSeconds: number, readings: BurstEvent['frames'][number]['readings']): void {
    const parameter = mission.parameters.find(({ role }) => role === 'uptime');
    const reading = readings.find((each) => each.parameter === parameter?.id);
    if (parameter === undefined || typeof reading?.value !== 'number' || reading.trust === 'doubtful') return;
    const second = parseUnit(parameter.unit ?? 's')?.factor ?? 1;
    const uptimeSeconds = reading.value * second;
    const before = this.#clocks.get(mission.id);
    this.#clocks.set(mission.id, { atSeconds, uptimeSeconds });
    if (before === undefined) return;
    const passed = atSeconds - before.atSeconds;
    const missing = uptimeSeconds - before.uptimeSeconds - passed;
    const step = second * (rangeOf(mission, parameter)?.resolution?.coarsest ?? 0);
    const isMore = missing > CLOCK_SECONDS + step + CLOCK_RATE_ERROR * passed && missing < MOST_SKIPPED_SECONDS;
    if (isMore) this.#gaps.push({ fromSeconds: before.atSeconds, toSeconds: atSeconds, missingSeconds: missing });
  }
}

function gapsOf({ beacon }: Mission, times: readonly number[]): Gap[] {
  if (beacon.intervalSeconds === undefined) return [];
  return outOfStep(times, beacon.intervalSeconds).map((i) => ({
    fromSeconds: times[i],
    toSeconds: times[i + 1],
    missingSeconds: null,
  }));
}
