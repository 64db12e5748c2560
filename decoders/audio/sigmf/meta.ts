import { AudioError } from '../../errors.ts';
import type { Fault } from '../../mission/fault.ts';
import { JsonNode, type JsonObject } from '../../mission/json-node.ts';
import { SIMULATED } from '../info-chunk.ts';
import { parseSigmfDatatype, type SigmfDatatype } from './datatype.ts';

/** What a SigMF metadata file says that reading its samples needs. */
export interface SigmfMeta {
  readonly datatypeName: string;
  readonly datatype: SigmfDatatype;
  /** Numbers of a sample: two a channel when complex. */
  readonly numbers: number;
  readonly sampleRateHz: number;
  /** One or more, in order; the first begins at sample 0. */
  readonly captures: readonly SigmfCapture[];
  /** Bytes behind the samples that are none. */
  readonly trailingBytes: number;
  readonly simulated: boolean;
}

/** A stretch of samples received in one go, at one tuning. */
export interface SigmfCapture {
  /** First sample, from 0. */
  readonly startFrame: number;
  /** Bytes before it that are no samples. */
  readonly headerBytes: number;
  /** Frequency that stands at zero; null when not stated. */
  readonly centerHz: number | null;
  /** Time of the first sample, as it stands there; null when not stated. */
  readonly datetime: string | null;
}

/** Longer metadata describes more than a recording. */
export const MOST_META_BYTES = 8 * 2 ** 20;
const MOST_CAPTURES = 10_000;
const MOST_CHANNELS = 64;

/**
 * The one door for SigMF metadata (SigMF 1.2.5): the text of a `.sigmf-meta` file in, what its samples need out. Keys that
 * say nothing of the samples are ignored, whatever they hold.
 *
 * @throws AudioError `sigmf-bad-json`, `sigmf-bad-meta` naming the place, `sigmf-unread-type`, `sigmf-no-rate`, `sigmf-no-data`.
 */
export function readSigmfMeta(text: string): SigmfMeta {
  let json: unknown;
  try {
    json = JSON.parse(text.replace(/^\ufeff/, ''));
  } catch {
    throw new AudioError('sigmf-bad-json', 'The SigMF metadata is no JSON, or is cut short. Copy it again.');
  }
  const faults: Fault[] = [];
  const meta = readMeta(new JsonNode(json, '', faults));
  const [first] = faults;
  if (first !== undefined || meta === undefined) {
    const where =
      first === undefined ? '' : ` at ${first.path || 'its top'} stands ${first.found}, not ${first.expected}`;
    throw new AudioError('sigmf-bad-meta', `The SigMF metadata cannot be used:${where}.`);
  }
  return meta;
}

function readMeta(node: JsonNode): SigmfMeta | undefined {
  const top = node.asMap();
  const global = top?.need('global', 'an object with core:datatype and core:sample_rate')?.asMap();
  if (top === undefined || global === undefined) return undefined;
  if (global.get('core:metadata_only')?.value === true) {
    throw new AudioError(
      'sigmf-no-data',
      'The SigMF metadata says that it stands alone: there are no samples to read.',
    );
  }
  const datatypeName = global.need('core:datatype', 'the type of the samples, for instance ci16_le')?.asText();
  const numChannels = countOf(global, 'core:num_channels', 1, MOST_CHANNELS) ?? 1;
  const offset = countOf(global, 'core:offset', 0) ?? 0;
  const trailingBytes = countOf(global, 'core:trailing_bytes', 0, 2 ** 24) ?? 0;
  const description = global.get('core:description')?.value;
  const captures = readCaptures(top, offset);
  if (datatypeName === undefined || captures === undefined) return undefined;
  const datatype = parseSigmfDatatype(datatypeName);
  if (datatype === null) {
    const given = JSON.stringify(datatypeName.slice(0, 40));
    const message = `The samples are of type ${given}; c or r with f32, f64, i32, i16, i8, u32, u16 or u8 can be read.`;
    throw new AudioError('sigmf-unread-type', message);
  }
  if (!global.has('core:sample_rate')) {
    const message = 'The SigMF metadata names no core:sample_rate, without which nothing can be read. Add it.';
    throw new AudioError('sigmf-no-rate', message);
  }
  const sampleRateHz = global.get('core:sample_rate')?.asNumber({ least: 1, most: 1e12 });
  if (sampleRateHz === undefined) return undefined;
  return {
    datatypeName,
    datatype,
    numbers: numChannels * (datatype.isComplex ? 2 : 1),
    sampleRateHz,
    captures,
    trailingBytes,
    simulated: typeof description === 'string' && description.startsWith(SIMULATED),
  };
}

function readCaptures(top: JsonObject, offset: number): SigmfCapture[] | undefined {
  const nodes = top.get('captures')?.asList('captures', 0, MOST_CAPTURES) ?? [];
  const captures: SigmfCapture[] = [];
  for (const node of nodes) {
    const capture = node.asMap();
    if (capture === undefined) return undefined;
    const start = countOf(capture, 'core:sample_start', 0) ?? 0;
    const startFrame = Math.max(0, start - offset);
    const before = captures.at(-1);
    if (before !== undefined && startFrame < before.startFrame) {
      node.fault('not-in-order', 'captures in the order of their core:sample_start');
      return undefined;
    }
    const datetime = capture.get('core:datetime')?.value;
    captures.push({
      startFrame,
      headerBytes: countOf(capture, 'core:header_bytes', 0, 2 ** 32) ?? 0,
      centerHz: capture.get('core:frequency')?.asNumber({ least: -1e12, most: 1e12 }) ?? null,
      datetime: typeof datetime === 'string' ? datetime : null,
    });
  }
  const [first] = captures;
  const nothing = { startFrame: 0, headerBytes: 0, centerHz: null, datetime: null };
  return first === undefined || first.startFrame > 0 ? [nothing, ...captures] : captures;
}

function countOf(object: JsonObject, key: string, least: number, most = Number.MAX_SAFE_INTEGER): number | undefined {
  return object.get(key)?.asNumber({ least, most, whole: true });
}
