import { readingsOf } from '../engineering/readings.ts';
import type { Reading } from '../engineering/types.ts';
import { type CodesAsSent, codesAsSent, type PrintedWalk, rightCheckText } from '../frames/coverage.ts';
import { complementText, fieldValue } from '../frames/field-form.ts';
import type { PrintedGraph } from '../frames/printed-graph.ts';
import { matchPrinted } from '../frames/printed-match.ts';
import type { DecodedField } from '../frames/types.ts';
import type { JsonNode } from './json-node.ts';
import { nearest, oneOfHint } from './nearest.ts';
import type { Example, FieldPart, FrameLayout, Mission, Parameter } from './types.ts';

/** Reads an example as a frame, checks its copies and checksums and compares the readings that its authors expect. */
export function runExample(
  mission: Mission,
  graphs: ReadonlyMap<FrameLayout, PrintedGraph>,
  example: Example,
  node: JsonNode,
): void {
  const found = findFrame(mission, graphs, example, node);
  if (found === null) return;
  const { graph, walk } = found;
  checkCopies(graph, walk, node);
  checkChecks(graph, walk, codesAsSent(mission.beacon), node);
  const frame = { frame: graph.frame, fields: fieldsOf(graph, walk), trust: 'confirmed', confidence: 1 } as const;
  checkReadings(mission, example, readingsOf(mission, frame, { receivedAt: null }), node);
}

function findFrame(
  mission: Mission,
  graphs: ReadonlyMap<FrameLayout, PrintedGraph>,
  example: Example,
  node: JsonNode,
): { graph: PrintedGraph; walk: PrintedWalk } | null {
  let best = { fitted: -1, frame: '', expected: '' };
  for (const [frame, graph] of graphs) {
    if (example.frame !== undefined && example.frame !== frame.id) continue;
    const match = matchPrinted(graph, example.text);
    if (match.matched) return { graph, walk: match.walk };
    if (match.fitted > best.fitted) best = { fitted: match.fitted, frame: frame.id, expected: match.expected };
  }
  if (best.fitted < 0) {
    const ids = mission.frames.map(({ id }) => id);
    node.child('frame').fault('unknown-frame', `a frame: ${oneOfHint(example.frame ?? '', ids)}`);
    return null;
  }
  const printed = example.text.trim().replace(/\s+/g, ' ');
  const next = best.expected === '' ? 'the end of the frame' : `one of ${JSON.stringify(best.expected)}`;
  const fits = `${JSON.stringify(printed.slice(0, best.fitted))} fits, then ${next} may stand`;
  node
    .child('text')
    .fault('example-fits-no-frame', `a text that a frame prints; of ${best.frame}, which comes nearest, ${fits}`);
  return null;
}

function fieldsOf(graph: PrintedGraph, walk: PrintedWalk): Record<string, DecodedField> {
  const fields = graph.fields.flatMap((part) => {
    const text = fieldText(walk, 'field', part.field);
    return text === ''
      ? []
      : [[part.field, { raw: fieldValue(part.form, text, part.missing), text, confidence: 1 }] as const];
  });
  return Object.fromEntries(fields);
}

function fieldText(walk: PrintedWalk, kind: 'field' | 'again', field: string): string {
  return walk
    .filter(({ owner }) => owner.kind === kind && owner.field === field)
    .map(({ character }) => character)
    .join('');
}

function checkCopies(graph: PrintedGraph, walk: PrintedWalk, node: JsonNode): void {
  for (const part of graph.fields) {
    const text = fieldText(walk, 'field', part.field);
    for (const complement of [false, true]) {
      const copies = walk.filter(
        ({ owner }) => owner.kind === 'again' && owner.field === part.field && owner.complement === complement,
      );
      const printed = copies.map(({ character }) => character).join('');
      const right = rightCopies(part, text, complement, printed.length);
      if (printed !== right) {
        node
          .child('text')
          .fault(
            'example-copy-differs',
            `${part.field} again as ${JSON.stringify(right)}, not ${JSON.stringify(printed)}`,
          );
      }
    }
  }
}

/** A field may be sent again several times; the copies follow each other in the walk. */
function rightCopies({ form, missing }: FieldPart, text: string, complement: boolean, length: number): string {
  const copy = complement ? complementText(form, text, missing) : text;
  return copy === '' ? '' : copy.repeat(Math.ceil(length / copy.length));
}

function checkChecks(graph: PrintedGraph, walk: PrintedWalk, codesOf: CodesAsSent, node: JsonNode): void {
  const isHex = (field: string) => graph.fields.find((part) => part.field === field)?.form.kind === 'hex';
  for (const [index, check] of graph.checks.entries()) {
    const printed = walk
      .filter(({ owner }) => owner.kind === 'check' && owner.index === index)
      .map(({ character }) => character)
      .join('');
    const right = printed === '' ? null : rightCheckText(check, index, walk, codesOf, isHex);
    if (right !== null && right !== printed) {
      node
        .child('text')
        .fault('example-checksum', `${right} where ${printed} stands, which is the ${check.algorithm} of the rest`);
    }
  }
}

function checkReadings(mission: Mission, example: Example, readings: readonly Reading[], node: JsonNode): void {
  for (const [id, stated] of Object.entries(example.readings)) {
    const place = node.child('readings').child(id);
    const parameter = mission.parameters.find((each) => each.id === id);
    const reading = readings.find((each) => each.parameter === id);
    if (parameter === undefined) {
      place.fault(
        'unknown-parameter',
        `a parameter: ${oneOfHint(
          id,
          mission.parameters.map((each) => each.id),
        )}`,
      );
    } else if (reading === undefined) {
      const near = nearest(
        id,
        readings.map((each) => each.parameter),
      );
      place.fault('example-reading', `a parameter that this frame gives${near === null ? '' : `, as ${near}`}`);
    } else if (!agrees(parameter, reading.value, stated)) {
      const why = reading.notes.length === 0 ? '' : ` (${reading.notes.join('; ')})`;
      place.fault('example-reading', `${JSON.stringify(reading.value)}, which the definition makes of this text${why}`);
    }
  }
}

/** Numbers agree when they are equal to the decimals written, or to the parameter's decimals if these are more. */
function agrees(parameter: Parameter, value: number | string | null, stated: number | string | null): boolean {
  if (typeof value !== 'number' || typeof stated !== 'number') return value === stated;
  const [mantissa, exponent = '0'] = String(stated).split('e');
  const written = (mantissa.split('.')[1]?.length ?? 0) - Number(exponent);
  const tolerance = 0.5 * 10 ** -Math.max(written, parameter.decimals ?? 0);
  return Math.abs(value - stated) <= tolerance * (1 + 1e-9) + Math.abs(stated) * 1e-12;
}
