import { Command, Option } from 'commander';
import type { ParameterRange } from '../../decoders/engineering/index.ts';
import type { Fault } from '../../decoders/mission/fault.ts';
import { parseMissionText } from '../../decoders/mission/read.ts';
import {
  describeMission,
  type FrameReport,
  type MissionReport,
  type ParameterReport,
} from '../../decoders/mission/report.ts';
import type { LimitSet, Mission } from '../../decoders/mission/types.ts';
import { type ExitCode, exitCode } from './exit.ts';
import { readText } from './inputs.ts';
import { complain, type Io } from './io.ts';
import { faultText } from './missions.ts';
import { printable } from './output/printable.ts';
import { withSink } from './output/sink.ts';
import { aligned } from './output/table.ts';

interface CheckOptions {
  readonly format: 'text' | 'json';
}

interface Checked {
  readonly file: string;
  readonly mission: Mission | null;
  readonly faults: readonly Fault[];
  readonly report: MissionReport | null;
}

export function checkCommand(io: Io, report: (code: ExitCode) => void): Command {
  return new Command('check')
    .summary('checks a mission definition')
    .description(
      'Explains every fault of a mission definition: where it stands, what stands there and what may stand there. Of a ' +
        'right one it prints a sample of each frame with its length on the air, and what each parameter can show.',
    )
    .argument('<file>', 'mission definition; "-" is standard input')
    .addOption(new Option('--format <format>', 'how to print the result').choices(['text', 'json']).default('text'))
    .action(async (file: string, options: CheckOptions) => report(await check(io, file, options)));
}

async function check(io: Io, file: string, { format }: CheckOptions): Promise<ExitCode> {
  const { mission, faults } = parseMissionText(await readText(file, io));
  const checked = { file, mission, faults, report: mission === null ? null : describeMission(mission) };
  await withSink(io, undefined, (sink) => sink.write(format === 'json' ? jsonText(checked) : plainText(checked)));
  if (mission !== null) return exitCode.done;
  const count = faults.filter(({ severity }) => severity === 'fault').length;
  complain(io, `${file}: ${count === 1 ? 'a fault' : `${count} faults`} in this definition`);
  return exitCode.refused;
}

function jsonText({ file, mission, faults, report }: Checked): string {
  return `${JSON.stringify({ file, mission: mission?.id ?? null, faults, ...report }, null, 2)}\n`;
}

function plainText({ file, mission, faults, report }: Checked): string {
  const lines = faults.map((fault) => `${file}: ${fault.severity}: ${faultText(fault)} [${fault.code}]`);
  if (mission !== null && report !== null) {
    lines.push(
      `${file}: ${mission.name} (${mission.id}), call sign ${mission.callSign}: the definition is right`,
      ...report.frames.flatMap(frameLines),
      ...(report.parameters.length === 0 ? [] : ['', 'parameters', ...parameterLines(report.parameters)]),
    );
  }
  return lines.map((line) => `${printable(line)}\n`).join('');
}

function frameLines({ id, sample, characters, codes, seconds, repeats }: FrameReport): string[] {
  const time = seconds === null ? 'no speed stated' : `${seconds.toFixed(1)} s on the air`;
  const often = repeats === 1 ? '' : `, sent ${repeats} times in a row`;
  return ['', `frame ${id}: ${characters} characters, ${codes} codes, ${time}${often}`, `  ${sample}`];
}

function parameterLines(parameters: readonly ParameterReport[]): string[] {
  const rows = aligned(
    parameters.map(({ id, name, unit, range, frames }) => [
      id,
      name,
      range === null ? '' : rangeText(range, unit),
      range?.resolution == null ? '' : resolutionText(range.resolution, unit),
      frames.length === 0 ? '' : `in ${frames.join(', ')}`,
    ]),
  );
  return parameters.flatMap(({ limitsOutOfReach, unit }, i) => [
    `  ${rows[i]}`,
    ...limitsOutOfReach.map(
      ({ kind, limits }) => `    ${kind} limit ${boundsText(limits, kind, unit)} is out of reach`,
    ),
  ]);
}

function rangeText({ low, high }: ParameterRange, unit: string | null): string {
  return `${short(low)} to ${short(high)}${unitText(unit)}`;
}

function resolutionText({ finest, coarsest }: { finest: number; coarsest: number }, unit: string | null): string {
  const [from, to] = [short(finest), short(coarsest)];
  return `in steps of ${from === to ? from : `${from} to ${to}`}${unitText(unit)}`;
}

function boundsText(limits: LimitSet, kind: 'soft' | 'hard', unit: string | null): string {
  const [low, high] = limits[kind] ?? [null, null];
  return `${low ?? 'none'} to ${high ?? 'none'}${unitText(unit)}`;
}

function unitText(unit: string | null): string {
  return unit === null ? '' : ` ${unit}`;
}

function short(value: number): string {
  return String(Number.isInteger(value) ? value : Number(value.toPrecision(4)));
}
