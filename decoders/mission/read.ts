import { ACCEPT_BOUNDS, type AcceptRule, DEFAULT_ACCEPT } from '../frames/accept.ts';
import type { PrintedGraph } from '../frames/printed-graph.ts';
import { checkFrames, checkFramesApart } from './check-frames.ts';
import { checkParameters } from './check-parameters.ts';
import { runExample } from './examples.ts';
import type { Fault } from './fault.ts';
import { JsonNode, type JsonObject } from './json-node.ts';
import { parseJsonText } from './json-text.ts';
import { oneOfHint } from './nearest.ts';
import { readBattery, readBeacon } from './read-beacon.ts';
import { type Places, readId, readTime } from './read-common.ts';
import { readFrame } from './read-layout.ts';
import { readParameter } from './read-parameter.ts';
import type { Example, FrameLayout, Mission } from './types.ts';

export interface ReadMission {
  /** Null when any fault is more than a warning. */
  readonly mission: Mission | null;
  readonly faults: readonly Fault[];
}

const MISSION_KEYS = [
  'fiveunit',
  'id',
  'name',
  'callSign',
  'beacon',
  'battery',
  'frames',
  'sequence',
  'parameters',
  'examples',
  'accept',
  'private',
  'launchedAt',
];

/**
 * The one door for mission definitions: any JSON value in, a mission with all defaults filled in or the reasons why not. Never throws.
 *
 * Where the file leaves a choice: `calibration` is a step, a list of steps, or a list of `{"steps", "validFrom", "validUntil"}`;
 * `limits` is `{"soft", "hard"}` or a list of these with `when`, `validFrom`, `validUntil`, of which the first that holds counts;
 * `when` is `{"parameter", "equals" | "above" | "below", "withinSeconds"}`; `choose` is a list of `{"when", "steps"}`, the last may
 * stand without `when`; `scale` is `[parameter, factor]`; `states` maps numbers or texts to words; `withinSeconds` stands beside the
 * operation of `derive`; `accept` is `{"wrongBelow", "foreignBelow"}`, the probability of being wrong and the nats a character by which
 * other text may read better, below which a frame is accepted. A field without a frame before it means that field in every frame that has it.
 *
 * Shape is checked first; what pieces say of each other only where the pieces themselves are sound, so that no fault is
 * reported as the consequence of another.
 */
export function readMission(json: unknown): ReadMission {
  const faults: Fault[] = [];
  const places: Places = new Map();
  const node = new JsonNode(json, '', faults);
  const object = node.asObject(MISSION_KEYS);
  const isSound = () => !faults.some(({ severity }) => severity === 'fault');
  if (object === undefined) return { mission: null, faults };

  const version = object.need('fiveunit', 'the version of the format, 1');
  if (version !== undefined && version.value !== 1) version.fault('unknown-version', '1, the version of the format');
  const id = object.need('id', 'the id of the mission')?.asText({
    most: 64,
    pattern: /^[a-z0-9][a-z0-9-]*$/,
    what: 'an id of lower-case letters, digits and -, at most 64',
  });
  const name = object.need('name', 'the name of the satellite')?.asText({ most: 100 });
  const callSign = readCallSign(object);
  const beaconNode = object.need('beacon', 'how the beacon is keyed');
  const beacon = beaconNode === undefined ? undefined : readBeacon(beaconNode);
  const batteryNode = object.get('battery');
  const battery = batteryNode === undefined ? undefined : readBattery(batteryNode);
  const accept = readAccept(object.get('accept'));
  const launchedAt = readTime(object.get('launchedAt'));
  const isPrivate = object.get('private')?.asBoolean() ?? false;

  const before = faults.length;
  const frameNodes = object.need('frames', 'a list of frames')?.asList('frames', 1, 64) ?? [];
  const frames = frameNodes.flatMap((each) => readFrame(each, places) ?? []);
  const sequence = readSequence(object, frames);
  const layoutsSound = faults.slice(before).every(({ severity }) => severity === 'warning');
  let graphs: ReadonlyMap<FrameLayout, PrintedGraph> = new Map();
  if (layoutsSound && beacon !== undefined) {
    graphs = checkFrames(frames, beacon.alphabet, places);
    checkFramesApart(graphs, sequence, places);
  }

  const parameterNodes = object.get('parameters')?.asList('parameters', 0, 2000) ?? [];
  const parameters = parameterNodes.flatMap((each) => readParameter(each, places) ?? []);
  const exampleNodes = object.get('examples')?.asList('examples', 0, 1000) ?? [];
  const examples = exampleNodes.flatMap((each) => readExample(each, places) ?? []);

  if (id === undefined || name === undefined || callSign === undefined || beacon === undefined)
    return { mission: null, faults };
  const mission: Mission = {
    id,
    name,
    callSign,
    beacon,
    ...(battery === undefined ? {} : { battery }),
    frames,
    sequence,
    parameters,
    examples,
    accept,
    private: isPrivate,
    ...(launchedAt === undefined ? {} : { launchedAt }),
  };
  if (layoutsSound && parameters.length === parameterNodes.length) checkParameters(mission, places);
  if (isSound()) {
    for (const example of examples) runExample(mission, graphs, example, places.get(example) ?? node);
  }
  return { mission: isSound() ? mission : null, faults };
}

/** `readMission` for the text of a file: also says where the text stops being JSON and which keys stand twice. */
export function parseMissionText(text: string): ReadMission {
  const { json, faults } = parseJsonText(text);
  if (json === undefined) return { mission: null, faults };
  const read = readMission(json);
  return { mission: faults.length === 0 ? read.mission : null, faults: [...faults, ...read.faults] };
}

function readCallSign(object: JsonObject): string | undefined {
  return object.need('callSign', 'the call sign of the beacon')?.asText({
    least: 3,
    most: 16,
    pattern: /^(?!Q0PRACTICE$)(?=.*[A-Z])(?=.*[0-9])[A-Z0-9][A-Z0-9/-]*$/,
    what: 'a call sign: 3 to 16 capital letters and digits, at least one of each, also / and -; not Q0PRACTICE, which is for practice',
  });
}

function readSequence(object: JsonObject, frames: readonly FrameLayout[]): string[] {
  const nodes = object.get('sequence')?.asList('frame ids', 0, 1000) ?? [];
  const ids = frames.map(({ id }) => id);
  return nodes.flatMap((each) => {
    const id = readId(each);
    if (id !== undefined && !ids.includes(id))
      return each.fault('unknown-frame', `a frame: ${oneOfHint(id, ids)}`) ?? [];
    return id ?? [];
  });
}

/** Bounds that a mission sets for its frames; what it leaves out, or sets beyond what is safe, is as usual. */
function readAccept(node: JsonNode | undefined): AcceptRule {
  const object = node?.asObject(['wrongBelow', 'foreignBelow']);
  const bound = (key: keyof AcceptRule) => {
    const [least, most] = ACCEPT_BOUNDS[key];
    return object?.get(key)?.asNumber({ least, most }) ?? DEFAULT_ACCEPT[key];
  };
  return { wrongBelow: bound('wrongBelow'), foreignBelow: bound('foreignBelow') };
}

function readExample(node: JsonNode, places: Places): Example | undefined {
  const object = node.asObject(['text', 'frame', 'readings']);
  const text = object?.need('text', 'the text as it is printed')?.asText({ most: 10_000 });
  const frame = readId(object?.get('frame'));
  const readingsObject = object?.get('readings')?.asMap();
  const readings = (readingsObject?.keys() ?? []).flatMap((key) => {
    const stated = readingsObject?.get(key);
    const value = stated?.value === null ? null : stated?.isText ? stated.asText() : stated?.asNumber();
    return value === undefined ? [] : [[key, value] as const];
  });
  if (text === undefined) return undefined;
  const example: Example = {
    text,
    ...(frame === undefined ? {} : { frame }),
    readings: Object.fromEntries(readings),
  };
  places.set(example, node);
  return example;
}
