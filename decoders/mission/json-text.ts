import type { Fault } from './fault.ts';

/** What a JSON text holds, or why it holds nothing. */
export interface ParsedJson {
  /** Undefined when the text is no JSON. */
  readonly json: unknown;
  readonly faults: readonly Fault[];
}

/** Deeper nesting than any definition needs. */
const MAX_DEPTH = 64;

/**
 * Reads JSON (RFC 8259) and says where it stops being JSON, by line and column from 1, and which keys stand twice in one
 * object. A byte order mark at the start is ignored.
 */
export function parseJsonText(text: string): ParsedJson {
  const parser = new JsonParser(text);
  try {
    const json = parser.document();
    return { json, faults: parser.faults };
  } catch (error) {
    if (error instanceof SyntaxFault) return { json: undefined, faults: [...parser.faults, error.fault] };
    throw error;
  }
}

class SyntaxFault extends Error {
  readonly fault: Fault;
  constructor(fault: Fault) {
    super(fault.expected);
    this.fault = fault;
  }
}

const ESCAPES: Readonly<Record<string, string>> = {
  '"': '"',
  '\\': '\\',
  '/': '/',
  b: '\b',
  f: '\f',
  n: '\n',
  r: '\r',
  t: '\t',
};

class JsonParser {
  readonly faults: Fault[] = [];
  private readonly text: string;
  private position: number;
  private depth = 0;

  constructor(text: string) {
    this.text = text;
    this.position = text.startsWith('\uFEFF') ? 1 : 0;
  }

  document(): unknown {
    const value = this.value('');
    this.skipSpace();
    if (this.position < this.text.length) this.fail('the end of the file after the one value');
    return value;
  }

  private value(path: string): unknown {
    this.skipSpace();
    const character = this.text[this.position];
    if (character === '{') return this.nested(() => this.object(path));
    if (character === '[') return this.nested(() => this.list(path));
    if (character === '"') return this.string();
    if (this.takeWord('true')) return true;
    if (this.takeWord('false')) return false;
    if (this.takeWord('null')) return null;
    return this.number();
  }

  private nested<T>(read: () => T): T {
    if (++this.depth > MAX_DEPTH) this.fail(`at most ${MAX_DEPTH} levels of lists and objects`);
    const value = read();
    this.depth--;
    return value;
  }

  private object(path: string): Record<string, unknown> {
    this.position++;
    const entries = new Map<string, unknown>();
    this.skipSpace();
    if (this.take('}')) return {};
    do {
      this.skipSpace();
      const start = this.position;
      if (this.text[start] !== '"')
        this.fail(entries.size > 0 ? 'another key in double quotes' : 'a key in double quotes or }');
      const key = this.string();
      const keyPath = path === '' ? key : `${path}.${key}`;
      if (entries.has(key))
        this.faults.push(this.faultAt(start, 'duplicate-key', 'each key once in an object', keyPath));
      this.skipSpace();
      if (!this.take(':')) this.fail('a colon after the key');
      entries.set(key, this.value(keyPath));
      this.skipSpace();
    } while (this.take(','));
    if (!this.take('}')) this.fail('a comma or } after the value');
    return Object.fromEntries(entries);
  }

  private list(path: string): unknown[] {
    this.position++;
    const values: unknown[] = [];
    this.skipSpace();
    if (this.take(']')) return values;
    do {
      values.push(this.value(`${path}[${values.length}]`));
      this.skipSpace();
    } while (this.take(','));
    if (!this.take(']')) this.fail('a comma or ] after the value');
    return values;
  }

  private string(): string {
    let value = '';
    this.position++;
    for (;;) {
      const character = this.text[this.position];
      if (character === undefined) this.fail('a closing double quote');
      if (character < ' ') this.fail('no line end or control character inside a text (write \\n, \\t, \\u00XX)');
      this.position++;
      if (character === '"') return value;
      value += character === '\\' ? this.escape() : character;
    }
  }

  private escape(): string {
    const character = this.text[this.position];
    if (character === 'u') {
      const hex = this.text.slice(this.position + 1, this.position + 5);
      if (!/^[0-9A-Fa-f]{4}$/.test(hex)) this.fail('four hex digits after \\u');
      this.position += 5;
      return String.fromCharCode(Number.parseInt(hex, 16));
    }
    if (character === undefined || !Object.hasOwn(ESCAPES, character)) this.fail('one of " \\ / b f n r t u after \\');
    this.position++;
    return ESCAPES[character];
  }

  private number(): number {
    const pattern = /-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][+-]?\d+)?/y;
    pattern.lastIndex = this.position;
    const match = pattern.exec(this.text);
    if (match === null) this.fail('a value: an object, a list, a text in double quotes, a number, true, false or null');
    this.position += match[0].length;
    if (/[\w.+-]/.test(this.text[this.position] ?? ''))
      this.fail('the end of the number (decimals as in 0.5, no leading zeros or signs)');
    return Number(match[0]);
  }

  private skipSpace(): void {
    while (/[ \t\r\n]/.test(this.text[this.position] ?? '')) this.position++;
  }

  private take(character: string): boolean {
    if (this.text[this.position] !== character) return false;
    this.position++;
    return true;
  }

  private takeWord(word: string): boolean {
    if (!this.text.startsWith(word, this.position)) return false;
    this.position += word.length;
    return true;
  }

  private fail(expected: string): never {
    throw new SyntaxFault(this.faultAt(this.position, 'not-json', expected, null));
  }

  private faultAt(position: number, code: string, expected: string, path: string | null): Fault {
    const before = this.text.slice(0, position).split(/\r\n|\r|\n/);
    const place = `line ${before.length}, column ${(before.at(-1)?.length ?? 0) + 1}`;
    const rest = this.text.slice(position, position + 20).split(/[\r\n]/)[0];
    return {
      code,
      path: path === null ? place : `${path} (${place})`,
      found: position >= this.text.length ? 'the end of the file' : rest === '' ? 'the end of the line' : rest,
      expected,
      severity: 'fault',
    };
  }
}
