import { readFile } from 'node:fs/promises';
import { Command, InvalidArgumentError, Option } from 'commander';
import type { Corrections } from '../../decoders/audio/correct-starts.ts';
import type { TimeBase } from '../../decoders/audio/time-gaps.ts';
import { FiveunitError } from '../../decoders/errors.ts';
import { readMission } from '../../decoders/mission/read.ts';
import type { Mission } from '../../decoders/mission/types.ts';
import { withoutTwins } from '../sigmf-files.ts';
import { type BandOptions, bandFields, bandOptions, withBandOptions } from './band-options.ts';
import { CommandError, type ExitCode, exitCode, worse } from './exit.ts';
import { reasonOf } from './inputs.ts';
import { untilInterrupted } from './interrupt.ts';
import { complain, type Io } from './io.ts';
import { withSink } from './output/sink.ts';
import { offsetOption, timeBaseOption, zoneOption } from './recording-start.ts';
import { cutOutsFailed, cutOutWords, sendCutOuts } from './send/cut-outs.ts';
import { follow, needFolder } from './send/follow.ts';
import { burstsIn, type Sought } from './send/make-cut-outs.ts';
import { type Plan, type Planned, planSending } from './send/plan.ts';
import { probableMission } from './send/probable-mission.ts';
import { type Outcome, outcomeTable } from './send/report.ts';
import { outcomeWords, type SendTask, sendFiles } from './send/send-files.ts';
import { asCommandError, type KnownRecording, SendError, type SendFields, ServerClient } from './send/server-client.ts';
import { PATIENT, TIRELESS, withRetries } from './send/with-retries.ts';
import { parseTime } from './time.ts';

interface SendOptions extends BandOptions {
  readonly to?: string;
  readonly keyFile?: string;
  readonly station?: string;
  readonly mission: string;
  readonly phase?: string;
  readonly start?: string;
  readonly zone?: number;
  readonly offset: number;
  readonly timeBase?: TimeBase;
  readonly dryRun: boolean;
  readonly tries: number;
  readonly follow?: string;
  readonly framesOnly: boolean;
}

export const KEY_VARIABLE = 'FIVEUNIT_KEY';

export function sendCommand(io: Io, report: (code: ExitCode) => void): Command {
  const command = new Command('send')
    .summary('sends recordings to a server')
    .description(
      'Sends recordings to a Fiveunit server. What the server has already is not sent again, so the same command sends ' +
        `what is missing after a failure. The station's key is taken from ${KEY_VARIABLE} or a file.`,
    )
    .argument('[file...]', 'recordings, by content whatever their names; of a SigMF pair either file')
    .option('--to <url>', 'address of the server, for instance https://example.org')
    .option('--key-file <file>', `file that holds the station's key, in place of ${KEY_VARIABLE}`)
    .option('--station <call-sign>', 'who heard it; without it the station whose key it is')
    .option('--mission <id>', 'id of the mission on the server, or any', 'any')
    .addOption(new Option('--phase <phase>', 'what the recordings are of').choices(['bench', 'rehearsal', 'flight']))
    .option('--start <time>', 'when the first recording began; the others are moved by as much', parseTime)
    .addOption(zoneOption())
    .addOption(offsetOption())
    .addOption(timeBaseOption());
  return withBandOptions(command)
    .option('--frames-only', 'decode here, and send the bursts that are found, not the whole', false)
    .option('--dry-run', 'show what would be sent, with its time, and send nothing', false)
    .option('--tries <number>', 'how often each recording is tried', parseTries, PATIENT.tries)
    .option('--follow <folder>', 'send what appears in a folder, when it has stopped growing, until Ctrl-C')
    .action(async (files: string[], options: SendOptions) => report(await send(io, files, options)));
}

async function send(io: Io, files: readonly string[], options: SendOptions): Promise<ExitCode> {
  if (files.length === 0 && options.follow === undefined) {
    throw new CommandError('no-files', 'name the recordings to send, or a folder with --follow');
  }
  if (options.follow !== undefined && (options.dryRun || options.start !== undefined)) {
    throw new CommandError('follow-alone', '--follow goes with neither --dry-run nor --start: it sends what comes');
  }
  if (options.to === undefined && !options.dryRun) {
    throw new CommandError('no-server', 'say with --to where to send: the address of the server');
  }
  const client = options.to === undefined ? null : new ServerClient(options.to, await keyOf(io, options));
  const { start = null, zone = null, offset } = options;
  const corrections: Corrections = { firstStart: start, zoneMinutes: zone, offsetSeconds: offset };
  try {
    if (client === null) return await showPlan(io, files, options, corrections, null);
    return options.dryRun
      ? await showPlan(io, files, options, corrections, client)
      : await sendAll(io, files, options, corrections, client);
  } catch (error) {
    throw error instanceof SendError ? asCommandError(error) : error;
  }
}

async function showPlan(
  io: Io,
  files: readonly string[],
  options: SendOptions,
  corrections: Corrections,
  client: ServerClient | null,
): Promise<ExitCode> {
  const plan = await planSending(withoutTwins(files), corrections, lookUpAt(client), io, Date.now());
  const missions = client === null ? [] : await missionsAt(client, options.mission);
  const band = bandOptions(options);
  const outcomes: Outcome[] = [];
  for (const planned of plan.planned) {
    const { file, start } = planned;
    for (const { message } of file.problems) complain(io, `${file.path}: ${message}`);
    const probable = options.mission === 'any' ? await probableMission(file.path, missions, io, band) : null;
    const mission = probable === null ? options.mission : `probably ${probable}`;
    const words = options.framesOnly ? await cutWords(planned, { missions, band }, io) : wholeWords(planned);
    outcomes.push({ path: file.path, start, mission, words });
  }
  return printTable(io, outcomes, plan);
}

function wholeWords({ start, sameAs, known }: Planned): string {
  if (sameAs !== null) return `same bytes as ${sameAs}`;
  if (known !== null) return `there already, ${known.id}`;
  return start === null ? 'would be sent, and wait for its time' : 'would be sent';
}

/** What would be cut out, which only decoding tells. */
async function cutWords(planned: Planned, sought: Sought, io: Io): Promise<string> {
  const { file, start, sameAs, known } = planned;
  if (sameAs !== null || known !== null) return wholeWords(planned);
  try {
    const bursts = await burstsIn(planned, sought, io);
    if (bursts.stretches.length === 0) return 'no burst in it, nothing would be sent';
    const words = `${bursts.stretches.length} would be cut out and sent`;
    return start === null ? `${words}, and wait for their time` : words;
  } catch (error) {
    if (!(error instanceof FiveunitError)) throw error;
    complain(io, `${file.path}: ${error.message}`);
    return `would not be sent: ${error.code}`;
  }
}

async function sendAll(
  io: Io,
  files: readonly string[],
  options: SendOptions,
  corrections: Corrections,
  client: ServerClient,
): Promise<ExitCode> {
  const { follow: folder } = options;
  if (folder === undefined) return (await groupSender(io, options, corrections, client))(files);
  await needFolder(folder);
  return untilInterrupted(async (signal) => {
    const onWait = ({ message }: SendError, seconds: number): void =>
      complain(io, `${message}; waiting for it, trying again in ${seconds} s`);
    const begin = (): Promise<GroupSender> => groupSender(io, options, corrections, client);
    const sendGroup = await unlessEnded(withRetries(begin, TIRELESS, onWait, signal), signal);
    if (sendGroup === null) return exitCode.incomplete;
    const code = files.length === 0 ? exitCode.done : await sendGroup(files);
    return worse(code, await follow(io, folder, sendGroup, { signal }));
  });
}

/** Null when it was ended meanwhile. */
async function unlessEnded<T>(work: Promise<T>, signal: AbortSignal): Promise<T | null> {
  return work.catch((error: unknown) => {
    if (signal.aborted) return null;
    throw error;
  });
}

/** Sends files that belong together, and prints what became of them. */
type GroupSender = (paths: readonly string[]) => Promise<ExitCode>;

/** @throws SendError when the server does not answer, or refuses. */
async function groupSender(
  io: Io,
  options: SendOptions,
  corrections: Corrections,
  client: ServerClient,
): Promise<GroupSender> {
  const task = await taskFor(options, client);
  const missions = options.framesOnly ? await missionsAt(client, options.mission) : [];
  const sendPlanned = async (planned: readonly Planned[]) => {
    if (options.framesOnly) {
      const sent = await sendCutOuts(planned, { ...task, sought: { missions, band: bandOptions(options) } }, io);
      return { words: sent.map(cutOutWords), isAll: !sent.some(cutOutsFailed) };
    }
    const sent = await sendFiles(planned, task, io);
    return { words: sent.map(outcomeWords), isAll: !sent.some(({ what }) => what === 'failed') };
  };
  return async (paths) => {
    const plan = await planSending(withoutTwins(paths), corrections, lookUpAt(client), io, Date.now());
    const { words, isAll } = await sendPlanned(plan.planned);
    const outcomes = plan.planned.map(({ file, start }, i) => ({
      path: file.path,
      start,
      mission: options.mission,
      words: words[i],
    }));
    const code = await printTable(io, outcomes, plan);
    return isAll ? code : worse(code, exitCode.incomplete);
  };
}

async function taskFor(options: SendOptions, client: ServerClient): Promise<SendTask> {
  const { recordingBytes, station: ownStation } = await client.facts();
  const station = options.station ?? ownStation;
  if (station === null) {
    throw new CommandError('no-station', 'say with --station who heard it: no key of a station came along');
  }
  const { mission, phase, timeBase } = options;
  if (mission !== 'any') await client.needMission(mission);
  const fields: SendFields = {
    mission,
    station,
    ...(phase === undefined ? {} : { phase }),
    ...(timeBase === undefined ? {} : { timeBase }),
    // of cut-outs it goes along with what was read in them
    ...(options.framesOnly ? {} : bandFields(options)),
  };
  return { client, fields, recordingBytes, patience: { ...PATIENT, tries: options.tries } };
}

async function printTable(io: Io, outcomes: readonly Outcome[], { unfit }: Plan): Promise<ExitCode> {
  const failed = unfit.map(({ path, code }) => ({ path, start: null, mission: '-', words: `not sent: ${code}` }));
  await withSink(io, undefined, async (sink) => {
    for (const line of outcomeTable([...outcomes, ...failed])) await sink.write(`${line}\n`);
  });
  return unfit.length > 0 ? exitCode.refused : exitCode.done;
}

function lookUpAt(client: ServerClient | null): (sha256: string) => Promise<KnownRecording | null> {
  return async (sha256) => (client === null ? null : client.known(sha256));
}

async function missionsAt(client: ServerClient, choice: string): Promise<Mission[]> {
  const missions = (await client.definitions()).flatMap((definition) => readMission(definition).mission ?? []);
  return missions.filter(({ id }) => choice === 'any' || id === choice);
}

/** The station's key, from the environment or a file. */
export async function keyOf(io: Io, { keyFile }: Pick<SendOptions, 'keyFile'>): Promise<string | null> {
  if (keyFile === undefined) return io.env[KEY_VARIABLE]?.trim() || null;
  const text = await readFile(keyFile, 'utf8').catch((error: unknown) => {
    throw new CommandError('unreadable-file', `${keyFile}: ${reasonOf(error)}`);
  });
  const key = text.trim();
  if (/^\S{20,200}$/.test(key)) return key;
  throw new CommandError('no-key', `${keyFile}: this holds no key; "fiveunit station add" prints one`);
}

function parseTries(text: string): number {
  const tries = Number(text);
  if (Number.isInteger(tries) && tries >= 1 && tries <= 100) return tries;
  throw new InvalidArgumentError('Tries are a whole number from 1 to 100.');
}
