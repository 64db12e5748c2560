import { Command } from 'commander';
import type { Mission } from '../../decoders/mission/types.ts';
import { withoutTwins } from '../sigmf-files.ts';
import { withBandOptions } from './band-options.ts';
import { decodingHere, inTurn } from './decode/decoding.ts';
import type { FileOptions, FileOutcome, FileProgress, FileTask } from './decode/file.ts';
import { type ExitCode, exitCode, worse } from './exit.ts';
import { complain, type Io } from './io.ts';
import { loadMissions, missionOption } from './missions.ts';
import { type FormatName, formatNamed, formatOption } from './output/format.ts';
import { withSink } from './output/sink.ts';
import { loadProgress, type Progress } from './progress.ts';
import { offsetOption, timeBaseOption, zoneOption } from './recording-start.ts';
import type { OutputRecord } from './records.ts';
import { parseTime } from './time.ts';

interface DecodeOptions extends FileOptions {
  readonly mission: readonly string[];
  readonly format: FormatName;
  readonly out?: string;
}

export function decodeCommand(io: Io, report: (code: ExitCode) => void): Command {
  const command = new Command('decode')
    .summary('reads recordings')
    .description(
      'Finds the teletype bursts in recordings and prints their text. With the definition of a mission it also prints ' +
        'the frames and readings in them. "-" is standard input.',
    )
    .argument('<file...>', 'recordings, by content whatever their names; of a SigMF pair either file')
    .addOption(missionOption())
    .option('--start <time>', 'when each recording began, in ISO 8601 with its zone: 2027-03-01T18:40:00Z', parseTime)
    .addOption(zoneOption())
    .addOption(offsetOption())
    .addOption(timeBaseOption());
  return withBandOptions(command)
    .addOption(formatOption())
    .option('--out <file>', 'write the results to a file instead of standard output')
    .action(async (files: string[], options: DecodeOptions) => report(await decode(io, files, options)));
}

async function decode(io: Io, files: readonly string[], options: DecodeOptions): Promise<ExitCode> {
  const missions = await loadMissions(options.mission, io);
  const format = formatNamed(options.format, missions);
  const tasks = withoutTwins(files).map((file) => ({ file, missions, options }));
  return withSink(io, options.out, async (sink) => {
    await sink.write(format.head);
    let code: ExitCode = exitCode.done;
    let found = 0;
    for await (const { file, outcome } of outcomes(io, tasks)) {
      if (!outcome.readable) {
        complain(io, outcome.message);
        code = worse(code, exitCode.refused);
        continue;
      }
      const { records, remarks } = outcome;
      for (const remark of remarks) complain(io, remark);
      for (const record of records) await sink.write(format.print(record));
      const looked = missions.length > 0 ? 'frame' : 'burst';
      const here = records.filter(({ type }) => type === looked).length;
      found += here;
      if (here === 0) complain(io, nothingFound(file, records, missions));
    }
    return found === 0 ? worse(code, exitCode.incomplete) : code;
  });
}

/** What each file came to, in their order. Several are decoded at once, as many as there are cores; one needs no thread. */
async function* outcomes(
  io: Io,
  tasks: readonly FileTask[],
): AsyncGenerator<{ readonly file: string; readonly outcome: FileOutcome }> {
  const startProgress = await loadProgress(io);
  const threads = Math.min(io.cores, tasks.length);
  const decoding = threads > 1 ? (await import('./decode/threads.ts')).openThreads(io, threads) : decodingHere(io);
  try {
    for (const [{ file }, turn] of inTurn(decoding, tasks)) {
      let bar = null as Progress | null;
      const onProgress = ({ bytes, total }: FileProgress): void => {
        bar ??= startProgress(file, total);
        bar.update(bytes);
      };
      const outcome = await turn(onProgress).finally(() => bar?.stop());
      yield { file, outcome };
    }
  } finally {
    await decoding.close();
  }
}

function nothingFound(file: string, records: readonly OutputRecord[], missions: readonly Mission[]): string {
  const bursts = records.filter(({ type }) => type === 'burst').length;
  if (bursts === 0) return `${file}: no burst found`;
  const names = missions.map(({ id }) => id).join(' or ');
  return `${file}: no frame of ${names} found in ${bursts === 1 ? 'the one burst' : `${bursts} bursts`}`;
}
