import { compact, type JsonNode, type JsonObject } from './json-node.ts';
import type { Battery, Beacon, BeaconHint, StopElements } from './types.ts';

const HINT_KEYS = ['modulation', 'downlinkHz', 'baud', 'markHz', 'spaceHz', 'shiftHz', 'stopElements'];
const STOP_ELEMENTS: readonly StopElements[] = [1, 1.42, 1.5, 2];

export function readBeacon(node: JsonNode): Beacon | undefined {
  const object = node.asObject([...HINT_KEYS, 'alphabet', 'intervalSeconds', 'also', 'shifts']);
  if (object === undefined) return undefined;
  object.need('modulation', '"afsk" or "fsk"');
  const hint = readHint(object);
  const { modulation } = hint;
  const alphabet = object.get('alphabet')?.asChoice(['ita2', 'us-tty']) ?? 'ita2';
  const intervalSeconds = object.get('intervalSeconds')?.asNumber({ least: 0, most: 1e6, open: true });
  const also = object.get('also')?.asList('further speeds or tones', 0, 16) ?? [];
  const variants = also.flatMap((each) => {
    const variant = each.asObject(HINT_KEYS);
    return variant === undefined ? [] : [readHint(variant, modulation)];
  });
  const shifts = readShifts(object.get('shifts'));
  if (modulation === undefined) return undefined;
  return { ...compact({ ...hint, modulation, intervalSeconds }), alphabet, also: variants, shifts };
}

export function readBattery(node: JsonNode): Battery | undefined {
  const object = node.asObject(['cellsInSeries', 'capacityAmpereHours', 'chemistry']);
  const cellsInSeries = object
    ?.need('cellsInSeries', 'the number of cells in series')
    ?.asNumber({ least: 1, most: 100, whole: true });
  const capacityAmpereHours = object?.get('capacityAmpereHours')?.asNumber({ least: 0, most: 1e6, open: true });
  const chemistry = object?.get('chemistry')?.asText();
  return cellsInSeries === undefined ? undefined : compact({ cellsInSeries, capacityAmpereHours, chemistry });
}

function readHint(object: JsonObject, modulationOfMain?: BeaconHint['modulation']): Partial<BeaconHint> {
  const tone = { least: 10, most: 200_000 };
  const modulation = object.get('modulation')?.asChoice(['afsk', 'fsk'] as const);
  const downlinkHz = object.get('downlinkHz')?.asNumber({ least: 1e5, most: 3e11 });
  const baud = object.get('baud')?.asNumber({ least: 10, most: 2400 });
  const stopElements = object.get('stopElements')?.asChoice(STOP_ELEMENTS);
  const markNode = object.get('markHz');
  const spaceNode = object.get('spaceHz');
  const markHz = markNode?.asNumber(tone);
  const spaceHz = spaceNode?.asNumber(tone);
  const shiftNode = object.get('shiftHz');
  const statedShiftHz = shiftNode?.asNumber(tone);
  if (markHz !== undefined && markHz === spaceHz)
    spaceNode?.fault('same-tones', `another pitch than markHz, ${markHz}`);
  if (object.has('markHz') !== object.has('spaceHz')) {
    (markNode ?? spaceNode)?.fault('one-tone', 'markHz and spaceHz together, or neither');
  }
  const shiftOfTones = markHz !== undefined && spaceHz !== undefined ? Math.abs(markHz - spaceHz) : undefined;
  if (statedShiftHz !== undefined && shiftOfTones !== undefined && Math.abs(statedShiftHz - shiftOfTones) > 0.5) {
    shiftNode?.fault('wrong-shift', `the distance of markHz and spaceHz, ${shiftOfTones}`);
  }
  const shiftHz = statedShiftHz ?? shiftOfTones;
  const rest = { modulation, downlinkHz, baud, shiftHz, stopElements };
  if ((modulation ?? modulationOfMain) !== 'fsk') return compact({ ...rest, markHz, spaceHz });
  markNode?.fault(
    'tones-of-fsk',
    "shiftHz: with fsk the pitch is the listener's, so only the shift is used",
    'warning',
  );
  return compact(rest);
}

function readShifts(node: JsonNode | undefined): Beacon['shifts'] {
  const object = node?.asObject(['unshiftOnSpace', 'repeat']);
  const unshiftOnSpace = object?.get('unshiftOnSpace')?.asBoolean();
  const repeat = object?.get('repeat')?.asNumber({ least: 1, most: 10, whole: true });
  return compact({ unshiftOnSpace, repeat });
}
