import { existsSync } from 'node:fs';
import { mkdir } from 'node:fs/promises';
import { Command } from 'commander';
import type { Store } from '../store/store.ts';
import { CommandError, type ExitCode, exitCode } from './exit.ts';
import type { Io } from './io.ts';
import { withSink } from './output/sink.ts';
import { aligned } from './output/table.ts';
import { USUAL_DATA_FOLDER } from './serve.ts';

interface StationOptions {
  readonly data: string;
}

export function stationCommand(io: Io, report: (code: ExitCode) => void): Command {
  const dataOption = ['--data <folder>', 'where the server keeps everything', USUAL_DATA_FOLDER] as const;
  return new Command('station')
    .summary('manages the keys of ground stations')
    .description('Gives ground stations keys and takes them back. The server may be running meanwhile.')
    .addCommand(
      new Command('add')
        .summary('gives a station a key')
        .description(
          'Gives a station a key and prints it, this once. An earlier key of that station is void from then on.',
        )
        .argument('<call-sign>', 'call sign of the station')
        .option(...dataOption)
        .action(async (callSign: string, options: StationOptions) => report(await add(io, callSign, options))),
    )
    .addCommand(
      new Command('list')
        .summary('lists the stations that were given a key')
        .option(...dataOption)
        .action(async (options: StationOptions) => report(await list(io, options))),
    )
    .addCommand(
      new Command('revoke')
        .summary("makes a station's key void")
        .argument('<call-sign>', 'call sign of the station')
        .option(...dataOption)
        .action(async (callSign: string, options: StationOptions) => report(await revoke(io, callSign, options))),
    );
}

async function add(io: Io, given: string, { data }: StationOptions): Promise<ExitCode> {
  const { normalCallSign } = await import('../call-sign.ts');
  const { issueStationKey } = await import('../keys/station-keys.ts');
  const callSign = normalCallSign(given);
  await mkdir(data, { recursive: true });
  const key = await withStore(data, (store) => issueStationKey(store, callSign, Date.now()));
  io.stderr.write(`The key of ${callSign}, shown this once; it is the bearer token of all that the station sends:\n`);
  await withSink(io, undefined, (sink) => sink.write(`${key}\n`));
  return exitCode.done;
}

async function list(io: Io, { data }: StationOptions): Promise<ExitCode> {
  const stations = await withStore(data, (store) => store.stations());
  const time = (instant: number | null) => (instant === null ? 'never' : new Date(instant).toISOString());
  const rows = stations.map(({ callSign, addedAt, revokedAt, lastHeard, frames, recordings }) => [
    callSign,
    revokedAt === null ? 'valid' : `revoked ${time(revokedAt)}`,
    `added ${time(addedAt)}`,
    `last heard ${time(lastHeard)}`,
    `${frames} frames`,
    `${recordings} recordings`,
  ]);
  await withSink(io, undefined, async (sink) => {
    for (const line of aligned(rows)) await sink.write(`${line}\n`);
  });
  if (stations.length === 0)
    throw new CommandError('no-stations', `${data}: no station has a key`, exitCode.incomplete);
  return exitCode.done;
}

async function revoke(io: Io, given: string, { data }: StationOptions): Promise<ExitCode> {
  const { normalCallSign } = await import('../call-sign.ts');
  const callSign = normalCallSign(given);
  const revoked = await withStore(data, (store) => store.revokeStation(callSign, Date.now()));
  if (!revoked) {
    throw new CommandError('unknown-station', `${data}: ${callSign} has no key to take back`, exitCode.incomplete);
  }
  await withSink(io, undefined, (sink) => sink.write(`The key of ${callSign} is void.\n`));
  return exitCode.done;
}

/** Short changes go beside a running server: the database keeps the two apart. */
async function withStore<T>(data: string, work: (store: Store) => Promise<T>): Promise<T> {
  if (!existsSync(data))
    throw new CommandError('no-data', `${data}: there is no such folder; --data names the server's`);
  const { openDataStore } = await import('../store/sqlite/open.ts');
  const store = openDataStore(data);
  try {
    return await work(store);
  } finally {
    await store.close();
  }
}
