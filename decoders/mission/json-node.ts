import type { Fault } from './fault.ts';
import { oneOfHint } from './nearest.ts';

/** Keys that may stand in any object and mean nothing to us. */
const FREE_KEYS = ['$schema', 'notes'];

export interface NumberBounds {
  readonly least?: number;
  readonly most?: number;
  /** The bounds themselves are excluded. */
  readonly open?: boolean;
  readonly whole?: boolean;
}

/**
 * A value of a JSON document with the path to it. Every `as...` gives the checked value, or reports a fault and gives undefined, so that
 * a reader can go on and report all faults at once.
 */
export class JsonNode {
  readonly value: unknown;
  readonly path: string;
  private readonly faults: Fault[];

  constructor(value: unknown, path: string, faults: Fault[]) {
    this.value = value;
    this.path = path;
    this.faults = faults;
  }

  /** Reports that this value cannot stand here. */
  fault(code: string, expected: string, severity: Fault['severity'] = 'fault'): undefined {
    this.faults.push({ code, path: this.path, found: printShort(this.value), expected, severity });
  }

  /** The value under a key, or this one when it has no such key. */
  child(key: string): JsonNode {
    const isObject = typeof this.value === 'object' && this.value !== null && !Array.isArray(this.value);
    return (isObject ? this.asMap()?.get(key) : undefined) ?? this;
  }

  get isText(): boolean {
    return typeof this.value === 'string';
  }

  get isList(): boolean {
    return Array.isArray(this.value);
  }

  /** An object that has no other keys than these; unknown ones are faults. */
  asObject(keys: readonly string[]): JsonObject | undefined {
    const object = this.asMap();
    for (const key of object?.keys() ?? []) {
      if (!keys.includes(key)) {
        const child = object?.get(key);
        this.faults.push({
          code: 'unknown-key',
          path: child?.path ?? this.path,
          found: `key ${printShort(key)}`,
          expected: oneOfHint(key, keys),
          severity: 'fault',
        });
      }
    }
    return object;
  }

  /** An object whose keys are names given by the author. */
  asMap(): JsonObject | undefined {
    if (typeof this.value !== 'object' || this.value === null || Array.isArray(this.value)) {
      return this.fault('wrong-type', 'an object { ... }');
    }
    return new JsonObject(new Map(Object.entries(this.value)), this.path, this.faults);
  }

  asList(what: string, least = 0, most = 10_000): JsonNode[] | undefined {
    if (!Array.isArray(this.value)) return this.fault('wrong-type', `a list of ${what}`);
    if (this.value.length < least || this.value.length > most) {
      return this.fault('wrong-length', `a list of ${least === most ? least : `${least} to ${most}`} ${what}`);
    }
    return Array.from(this.value, (each: unknown, i) => new JsonNode(each, `${this.path}[${i}]`, this.faults));
  }

  asNumber(bounds: NumberBounds = {}): number | undefined {
    const { least = Number.NEGATIVE_INFINITY, most = Number.POSITIVE_INFINITY, open = false, whole = false } = bounds;
    const { value } = this;
    const what = `a ${whole ? 'whole ' : ''}number${rangeText(bounds)}`;
    if (typeof value !== 'number') return this.fault('wrong-type', what);
    const inside = open ? value > least && value < most : value >= least && value <= most;
    if (!Number.isFinite(value) || !inside || (whole && !Number.isInteger(value))) {
      return this.fault('out-of-range', what);
    }
    return value;
  }

  asBoolean(): boolean | undefined {
    return typeof this.value === 'boolean' ? this.value : this.fault('wrong-type', 'true or false');
  }

  /** A text of at most `most` characters; `pattern` with a description of what it wants. */
  asText(options: { least?: number; most?: number; pattern?: RegExp; what?: string } = {}): string | undefined {
    const { least = 1, most = 200, pattern, what = `a text of ${least} to ${most} characters` } = options;
    const { value } = this;
    if (typeof value !== 'string') return this.fault('wrong-type', what);
    if (value.length < least || value.length > most || (pattern !== undefined && !pattern.test(value))) {
      return this.fault('wrong-text', what);
    }
    return value;
  }

  asChoice<T extends string | number>(choices: readonly T[]): T | undefined {
    const found = choices.find((choice) => choice === this.value);
    if (found !== undefined) return found;
    return this.fault(
      'unknown-choice',
      typeof this.value === 'string' ? oneOfHint(this.value, choices.map(String)) : `one of ${choices.join(', ')}`,
    );
  }
}

export class JsonObject {
  readonly path: string;
  private readonly entries: ReadonlyMap<string, unknown>;
  private readonly faults: Fault[];

  constructor(entries: ReadonlyMap<string, unknown>, path: string, faults: Fault[]) {
    this.entries = entries;
    this.path = path;
    this.faults = faults;
  }

  /** The keys that mean something. */
  keys(): string[] {
    return [...this.entries.keys()].filter((key) => !FREE_KEYS.includes(key));
  }

  has(key: string): boolean {
    return this.entries.has(key);
  }

  get(key: string): JsonNode | undefined {
    return this.entries.has(key)
      ? new JsonNode(this.entries.get(key), joinPath(this.path, key), this.faults)
      : undefined;
  }

  /** A key that must be there; reports a fault when it is not. */
  need(key: string, what: string): JsonNode | undefined {
    const node = this.get(key);
    if (node === undefined) {
      const path = joinPath(this.path, key);
      this.faults.push({ code: 'missing-key', path, found: 'nothing', expected: what, severity: 'fault' });
    }
    return node;
  }
}

/** A copy without the keys whose value is undefined. */
export function compact<T extends object>(object: T): Compact<T> {
  return Object.fromEntries(Object.entries(object).filter(([, value]) => value !== undefined)) as Compact<T>;
}

type Compact<T> = { [K in keyof T as undefined extends T[K] ? never : K]: T[K] } & {
  [K in keyof T as undefined extends T[K] ? K : never]?: Exclude<T[K], undefined>;
};

/** A value as it can stand in a message: short, on one line, whatever it is. */
export function printShort(value: unknown): string {
  if (typeof value === 'string') return JSON.stringify(value.length > 60 ? `${value.slice(0, 57)}...` : value);
  if (Array.isArray(value)) return `a list of ${value.length}`;
  if (typeof value === 'object' && value !== null) {
    const keys = Object.keys(value);
    const more = keys.length > 6 ? ', ...' : '';
    return keys.length === 0 ? 'an empty object' : `an object with ${keys.slice(0, 6).join(', ').slice(0, 80)}${more}`;
  }
  return String(value);
}

function joinPath(path: string, key: string): string {
  const name = /^[A-Za-z_$][\w$-]*$/.test(key) ? key : JSON.stringify(key.slice(0, 60));
  if (!/^[A-Za-z_$]/.test(name)) return `${path}[${name}]`;
  return path === '' ? name : `${path}.${name}`;
}

function rangeText({ least, most, open = false }: NumberBounds): string {
  const [above, below] = open ? ['above', 'below'] : ['from', 'to'];
  if (least !== undefined && most !== undefined) return ` ${above} ${least} ${open ? 'and below' : 'to'} ${most}`;
  if (least !== undefined) return open ? ` above ${least}` : ` of at least ${least}`;
  if (most !== undefined) return open ? ` ${below} ${most}` : ` of at most ${most}`;
  return '';
}
