import { compact, type JsonNode, type JsonObject } from './json-node.ts';
import type { Condition } from './types.ts';

/** Where each checked piece of a definition stood in the file, for faults found when pieces are compared. */
export type Places = Map<object, JsonNode>;

const RESERVED = ['notes', '$schema'];

/** The id of a frame, field or parameter. */
export function readId(node: JsonNode | undefined): string | undefined {
  const id = node?.asText({
    most: 64,
    pattern: /^[A-Za-z][A-Za-z0-9_-]*$/,
    what: 'an id: a letter, then letters, digits, _ and -, at most 64',
  });
  if (id !== undefined && RESERVED.includes(id))
    return node?.fault('wrong-text', `an id other than ${RESERVED.join(', ')}`);
  return id;
}

/** A date or a time with its zone, ISO 8601, as UTC. */
export function readTime(node: JsonNode | undefined): string | undefined {
  const what = 'an ISO 8601 date or time with zone, as 2026-03-01 or 2026-03-01T12:00:00Z';
  const pattern = /^(\d{4})-(\d\d)-(\d\d)(T\d\d:\d\d(:\d\d(\.\d{1,3})?)?(Z|[+-]\d\d:\d\d))?$/;
  const text = node?.asText({ most: 40, pattern, what });
  if (text === undefined) return undefined;
  const [, year, month, day] = pattern.exec(text) ?? [];
  // Date.parse lets a 30th of February roll over into March.
  const date = new Date(Date.UTC(Number(year), Number(month) - 1, Number(day)));
  const time = Date.parse(text);
  if (date.getUTCMonth() + 1 !== Number(month) || date.getUTCDate() !== Number(day) || Number.isNaN(time)) {
    return node?.fault('wrong-text', what);
  }
  return new Date(time).toISOString();
}

export interface Validity {
  readonly validFrom?: string;
  readonly validUntil?: string;
}

export function readValidity(object: JsonObject): Validity {
  const validFrom = readTime(object.get('validFrom'));
  const untilNode = object.get('validUntil');
  const validUntil = readTime(untilNode);
  if (validFrom !== undefined && validUntil !== undefined && validUntil <= validFrom) {
    untilNode?.fault('wrong-order', `a time after validFrom, ${validFrom}`);
  }
  return compact({ validFrom, validUntil });
}

/** Two stretches of validity that have a moment in common. */
export function overlap(a: Validity, b: Validity): boolean {
  const before = (end: string | undefined, start: string | undefined) =>
    end !== undefined && start !== undefined && end <= start;
  return !before(a.validUntil, b.validFrom) && !before(b.validUntil, a.validFrom);
}

/** `{"parameter": "battery_current", "above": 0}`. */
export function readCondition(node: JsonNode, places: Places): Condition | undefined {
  const object = node.asObject(['parameter', 'equals', 'above', 'below', 'withinSeconds']);
  if (object === undefined) return undefined;
  const parameter = readId(object.need('parameter', 'the id of a parameter'));
  const equalsNode = object.get('equals');
  const equals = equalsNode?.isText ? equalsNode.asText({ most: 64 }) : equalsNode?.asNumber();
  const above = object.get('above')?.asNumber();
  const below = object.get('below')?.asNumber();
  const withinSeconds = object.get('withinSeconds')?.asNumber({ least: 0, most: 1e9 });
  if (!['equals', 'above', 'below'].some((key) => object.has(key))) {
    return node.fault('missing-key', 'a test: equals, above or below');
  }
  if (parameter === undefined) return undefined;
  const condition: Condition = compact({ parameter, equals, above, below, withinSeconds });
  places.set(condition, node);
  return condition;
}
