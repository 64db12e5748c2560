import { stat } from 'node:fs/promises';
import { Command } from 'commander';
import { readingsOf } from '../../decoders/engineering/index.ts';
import { type NearestLayout, readTypedText } from '../../decoders/frames/typed.ts';
import type { Mission } from '../../decoders/mission/types.ts';
import { CommandError, type ExitCode, exitCode } from './exit.ts';
import { readText } from './inputs.ts';
import { complain, type Io } from './io.ts';
import { loadMissions, missionOption } from './missions.ts';
import { type FormatName, formatNamed, formatOption } from './output/format.ts';
import { withSink } from './output/sink.ts';
import { COMMAND_LINE } from './recording-start.ts';
import { frameRecord } from './records.ts';
import { parseTime } from './time.ts';

interface ReadOptions {
  readonly mission: readonly string[];
  readonly received?: string;
  readonly format: FormatName;
  readonly out?: string;
}

export function readCommand(io: Io, report: (code: ExitCode) => void): Command {
  return new Command('read')
    .summary('reads typed or pasted text')
    .description(
      'Says what a line of decoded text means, as people print it: in lower case, broken over lines, with a time in ' +
        'front, with marks for what was not readable. Says what it had to assume.',
    )
    .argument('[text...]', 'the text itself, or a file that holds it; "-" or nothing is standard input')
    .addOption(missionOption())
    .option('--received <time>', 'when it was received: 2027-03-01T18:40:00Z', parseTime)
    .addOption(formatOption())
    .option('--out <file>', 'write the results to a file instead of standard output')
    .action(async (words: string[], options: ReadOptions) => report(await read(io, words, options)));
}

async function read(io: Io, words: readonly string[], options: ReadOptions): Promise<ExitCode> {
  if (options.mission.length === 0) {
    throw new CommandError('no-mission', 'read needs --mission FILE: without a definition a text means nothing');
  }
  const missions = await loadMissions(options.mission, io);
  const { file, text } = await findText(words, io);
  const readings = missions.map((mission) => ({ mission, ...readTypedText(mission, text, receivedOf(options)) }));
  const format = formatNamed(options.format, missions);
  const frames = readings.flatMap(({ mission, frames }) =>
    frames.map((frame) => {
      const receivedAt = options.received ?? null;
      const readings = readingsOf(mission, frame, { receivedAt });
      const received = receivedAt === null ? null : { at: receivedAt, source: COMMAND_LINE, uncertaintySeconds: null };
      return frameRecord({ mission: mission.id, frame, readings }, null, received);
    }),
  );
  const assumptions = readings.flatMap(({ assumptions }) => assumptions);
  await withSink(io, options.out, async (sink) => {
    await sink.write(format.head);
    await sink.write(format.print({ type: 'text', file, assumptions }));
    for (const frame of frames) await sink.write(format.print(frame));
  });
  if (frames.length > 0) return exitCode.done;
  complain(io, unread(file, readings));
  return exitCode.incomplete;
}

function receivedOf({ received }: ReadOptions): { receivedAt?: string } {
  return received === undefined ? {} : { receivedAt: received };
}

/** A single word may be the name of a file; everything else is the text. */
async function findText(words: readonly string[], io: Io): Promise<{ file: string | null; text: string }> {
  const [first = '-'] = words;
  if (words.length <= 1) {
    const isFile = first === '-' || (await stat(first).catch(() => null)) !== null;
    if (isFile) return { file: first, text: await readText(first, io) };
  }
  return { file: null, text: words.join(' ') };
}

function unread(
  file: string | null,
  readings: readonly { readonly mission: Mission; readonly nearest: NearestLayout | null }[],
): string {
  const where = file === null ? '' : `${file}: `;
  const nearest = readings.flatMap(({ mission, nearest }) => (nearest === null ? [] : [{ mission, ...nearest }]));
  if (nearest.length === 0) {
    const names = readings.map(({ mission }) => mission.id).join(' or ');
    return `${where}the text fits no frame of ${names}: not even a call sign or one field was found`;
  }
  const { mission, frame, at, expected } = nearest.reduce((best, each) => (each.at > best.at ? each : best));
  const wanted = expected === '' ? 'the frame ends there' : `${oneOf(expected)} should stand there`;
  return `${where}the text fits no frame; nearest is "${frame}" of ${mission.id}, up to character ${at + 1}, where ${wanted}`;
}

function oneOf(characters: string): string {
  const each = [...characters];
  if (each.length === 1) return each[0] === ' ' ? 'a space' : `"${each[0]}"`;
  return `one of "${characters}"`;
}
