import { Option } from 'commander';
import type { Fault } from '../../decoders/mission/fault.ts';
import { parseMissionText } from '../../decoders/mission/read.ts';
import type { Mission } from '../../decoders/mission/types.ts';
import { CommandError } from './exit.ts';
import { readText } from './inputs.ts';
import type { Io } from './io.ts';

export function missionOption(): Option {
  return new Option('--mission <file>', 'mission definition to look for (may be repeated)')
    .argParser((file: string, before: readonly string[]) => [...before, file])
    .default([], 'none');
}

/** @throws CommandError for the first file that cannot be read or holds no right definition. */
export async function loadMissions(files: readonly string[], io: Io): Promise<Mission[]> {
  const missions: Mission[] = [];
  for (const file of files) {
    const mission = await loadMission(file, io);
    if (missions.some(({ id }) => id === mission.id)) {
      throw new CommandError('mission-twice', `${file}: the mission ${mission.id} is given twice`);
    }
    missions.push(mission);
  }
  return missions;
}

/** @throws CommandError when the file cannot be read or holds no right definition. */
export async function loadMission(file: string, io: Io): Promise<Mission> {
  const { mission, faults } = parseMissionText(await readText(file, io));
  if (mission !== null) return mission;
  const wrong = faults.filter(({ severity }) => severity === 'fault');
  const more = wrong.length > 1 ? ` (and ${wrong.length - 1} more; "fiveunit check" lists all)` : '';
  throw new CommandError('faulty-mission', `${file}: ${faultText(wrong[0])}${more}`);
}

/** A fault in one line. */
export function faultText({ path, found, expected }: Fault): string {
  return `${path === '' ? 'the whole file' : path}: found ${found}, expected ${expected}`;
}
