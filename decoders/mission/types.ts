import type { AcceptRule } from '../frames/accept.ts';

/**
 * The mission definition once it has passed the door (`readMission`): the shape of the JSON file, with every default
 * filled in. Everything here is plain data; nothing below `mission/` ever sees unchecked JSON.
 */

export type Alphabet = 'ita2' | 'us-tty';
export type StopElements = 1 | 1.42 | 1.5 | 2;

export interface BeaconHint {
  readonly modulation: 'afsk' | 'fsk';
  readonly downlinkHz?: number;
  readonly baud?: number;
  /** Audio pitch of the tones; only meaningful for `afsk`. Either may be the higher. */
  readonly markHz?: number;
  readonly spaceHz?: number;
  /** Distance of the tones, always positive; given for `fsk`, derived from the tones for `afsk`. */
  readonly shiftHz?: number;
  readonly stopElements?: StopElements;
}

export interface Beacon extends BeaconHint {
  readonly alphabet: Alphabet;
  readonly intervalSeconds?: number;
  /** Further speeds or tones (safe mode); what is left out is as in the main beacon. */
  readonly also: readonly Partial<BeaconHint>[];
  readonly shifts: { readonly unshiftOnSpace?: boolean; readonly repeat?: number };
}

export interface Battery {
  readonly cellsInSeries: number;
  readonly capacityAmpereHours?: number;
  readonly chemistry?: string;
}

export type Sign = 'minus' | 'always' | { readonly plus: string; readonly minus: string };

export type FieldForm =
  | {
      readonly kind: 'digits';
      readonly min: number;
      readonly max: number;
      /** Digits after the point; 0 = no point. */
      readonly decimals: number;
      readonly sign?: Sign;
    }
  | { readonly kind: 'hex'; readonly length: number }
  | { readonly kind: 'letters'; readonly length: number }
  | { readonly kind: 'symbols'; readonly symbols: string; readonly length: number }
  | { readonly kind: 'oneOf'; readonly texts: readonly string[] };

export interface FieldPart {
  readonly part: 'field';
  readonly field: string;
  readonly form: FieldForm;
  /** Texts that mean "no value". */
  readonly missing: readonly string[];
  /** Modulus of a counter. */
  readonly wraps?: number;
}

export interface AgainPart {
  readonly part: 'again';
  readonly field: string;
  readonly complement: boolean;
}

export interface ChecksumPart {
  readonly part: 'checksum';
  /** Name in the checksum catalogue, for instance `crc-16/ibm-3740` or `xor-8`. */
  readonly algorithm: string;
  readonly form: Extract<FieldForm, { kind: 'hex' | 'digits' | 'symbols' }>;
  readonly covers: 'text' | 'codes' | 'bytes';
  readonly from?: string;
  readonly to?: string;
  readonly byteOrder: 'big' | 'little';
}

export type LayoutPart =
  | { readonly part: 'text'; readonly text: string }
  | FieldPart
  | AgainPart
  | ChecksumPart
  | { readonly part: 'optional'; readonly layout: readonly LayoutPart[] }
  | { readonly part: 'either'; readonly layouts: readonly (readonly LayoutPart[])[] };

export interface FrameLayout {
  readonly id: string;
  readonly layout: readonly LayoutPart[];
  readonly repeats: number;
  readonly validFrom?: string;
  readonly validUntil?: string;
}

/**
 * `when` of limits and of the `choose` calibration: a condition on another parameter of the same frame, else on its last
 * reading within `withinSeconds`. All tests given must hold; `above` and `below` exclude the bound; a text equals a state or `oneOf`.
 */
export interface Condition {
  readonly parameter: string;
  readonly equals?: number | string;
  readonly above?: number;
  readonly below?: number;
  readonly withinSeconds?: number;
}

export type CalibrationStep =
  | { readonly step: 'polynomial'; readonly coefficients: readonly number[] }
  | { readonly step: 'points'; readonly points: readonly (readonly [number, number])[] }
  | { readonly step: 'adc'; readonly bits: number; readonly referenceVolts: number }
  | { readonly step: 'ratio'; readonly ratio: number }
  | {
      readonly step: 'divider';
      readonly fixedOhms: number;
      readonly supplyVolts: number;
      readonly sensorSide: 'low' | 'high';
    }
  | { readonly step: 'thermistor'; readonly betaKelvin: number; readonly ohmsAt25C: number }
  | { readonly step: 'steinhartHart'; readonly coefficients: readonly [number, number, number] }
  | { readonly step: 'platinum'; readonly ohmsAt0C: number }
  | {
      readonly step: 'choose';
      readonly choices: readonly { readonly when?: Condition; readonly steps: readonly CalibrationStep[] }[];
    };

export interface Valid<T> {
  readonly value: T;
  readonly validFrom?: string;
  readonly validUntil?: string;
}

export type Bounds = readonly [low: number | null, high: number | null];

export interface LimitSet {
  readonly soft?: Bounds;
  readonly hard?: Bounds;
  readonly when?: Condition;
}

export interface FieldRef {
  /** Undefined when the field occurs under one name in every frame that holds it. */
  readonly frame?: string;
  readonly field: string;
}

export type ParameterSource =
  | {
      readonly source: 'field';
      readonly ref: FieldRef;
      readonly bits?: readonly [number, number];
      readonly signed: boolean;
    }
  | {
      readonly source: 'join';
      readonly refs: readonly FieldRef[];
      readonly order: 'big' | 'little';
      readonly as: 'integer' | 'float32' | 'bcd';
      readonly signed: boolean;
      readonly where: Readonly<Record<string, number | string>>;
    }
  | {
      readonly source: 'derive';
      readonly operation: 'sum' | 'difference' | 'product' | 'quotient' | 'mean' | 'least' | 'greatest' | 'scale';
      readonly of: readonly string[];
      /** Only for `scale`. */
      readonly factor?: number;
      readonly withinSeconds?: number;
    };

export type Role =
  | 'battery_voltage'
  | 'battery_current'
  | 'battery_temperature'
  | 'panel_current'
  | 'uptime'
  | 'clock'
  | 'restart_count'
  | 'sequence'
  | 'mode';

export interface Parameter {
  readonly id: string;
  readonly name: string;
  readonly unit?: string;
  readonly group?: string;
  readonly source: ParameterSource;
  readonly calibrations: readonly Valid<readonly CalibrationStep[]>[];
  readonly limits: readonly Valid<readonly LimitSet[]>[];
  readonly persistence: number;
  readonly role?: Role;
  readonly states?: Readonly<Record<string, string>>;
  readonly decimals?: number;
}

export interface Example {
  readonly text: string;
  readonly frame?: string;
  readonly readings: Readonly<Record<string, number | string | null>>;
}

export interface Mission {
  readonly id: string;
  readonly name: string;
  readonly callSign: string;
  readonly beacon: Beacon;
  readonly battery?: Battery;
  readonly frames: readonly FrameLayout[];
  readonly sequence: readonly string[];
  readonly parameters: readonly Parameter[];
  readonly examples: readonly Example[];
  /** When a frame of it is confirmed. */
  readonly accept: AcceptRule;
  /** Readable by key only. */
  readonly private: boolean;
  /** ISO 8601 UTC: nothing was heard in flight before. */
  readonly launchedAt?: string;
}
