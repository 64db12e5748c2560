import { noteSentence } from '../../../decoders/frames/notes.ts';
import type { Mission, Parameter } from '../../../decoders/mission/types.ts';
import type {
  BurstRecord,
  FrameRecord,
  PresenceRecord,
  ReadingRecord,
  RecordingRecord,
  TextRecord,
} from '../records.ts';
import type { Format } from './format.ts';
import { printable } from './printable.ts';
import { aligned } from './table.ts';

/** Times no less exact need no word. */
const SURE_SECONDS = 10;

/**
 * For people: the text of every burst, and below it what the frames in it say. Lines that are about the text, not of it,
 * begin with `#`.
 */
export function textFormat(missions: readonly Mission[]): Format {
  const parameters = new Map(
    missions.map((mission) => [mission.id, new Map(mission.parameters.map((parameter) => [parameter.id, parameter]))]),
  );
  return {
    head: '',
    print(record) {
      switch (record.type) {
        case 'recording':
          return recordingLines(record);
        case 'text':
          return textLines(record);
        case 'burst':
          return burstLines(record);
        case 'frame':
          return frameLines(record, parameters.get(record.mission) ?? new Map());
        case 'presence':
          return presenceLine(record);
      }
    },
  };
}

function recordingLines(recording: RecordingRecord): string {
  const { file, seconds, sampleRate, channels, channel, startedAt, startedAtSource, simulated, problems } = recording;
  const which = channel === null ? '' : `, decoded number ${channel + 1}`;
  const count = channels === 1 ? '1 channel' : `${channels} channels${which}`;
  const start = startedAt === null ? '' : `, started ${startedAt} (${startedAtSource})`;
  const lines = [
    `# ${file}: ${seconds.toFixed(1)} s at ${sampleRate} Hz, ${count}${start}${simulated ? ', simulated' : ''}`,
  ];
  for (const { message, atSeconds } of problems) {
    lines.push(`# ${atSeconds === null ? '' : `at ${atSeconds.toFixed(1)} s: `}${message}`);
  }
  return block(lines);
}

function textLines({ assumptions }: TextRecord): string {
  return block(assumptions.map((assumption) => `# assumed: ${assumption}`));
}

function burstLines(burst: BurstRecord): string {
  const level = burst.ebN0Db === null ? '' : `, Eb/N0 ${burst.ebN0Db.toFixed(1)} dB`;
  const tones = `mark ${burst.markHz.toFixed(0)} Hz, space ${burst.spaceHz.toFixed(0)} Hz${carrierText(burst)}`;
  const where = `${burst.startSeconds.toFixed(1)} to ${burst.endSeconds.toFixed(1)} s`;
  return block([`# ${where}: ${burst.baud.toFixed(2)} Bd, ${tones}${level}`, printable(burst.text).trim()]);
}

function carrierText({ modulation, carrierHz, carrierAbsoluteHz, carrierDriftHzPerSecond }: BurstRecord): string {
  if (carrierHz === undefined) return '';
  const hz = carrierAbsoluteHz ?? carrierHz;
  const from = carrierAbsoluteHz === null ? ' from the middle' : '';
  const drift = (carrierDriftHzPerSecond ?? 0).toFixed(1);
  return `, ${modulation === 'fm' ? 'FM' : 'keyed'} carrier at ${hz.toFixed(0)} Hz${from} (${drift} Hz/s)`;
}

function frameLines(frame: FrameRecord, parameters: ReadonlyMap<string, Parameter>): string {
  const when = [
    frame.startSeconds === null ? null : `at ${frame.startSeconds.toFixed(1)} s`,
    frame.receivedAt === null ? null : `received ${frame.receivedAt}${uncertaintyText(frame)}`,
  ].filter((part) => part !== null);
  const standing = [frame.trust, `checksum ${frame.checksum}`, ...(frame.complete ? [] : ['incomplete']), ...when].join(
    ', ',
  );
  const rows = frame.readings.map((reading) => readingCells(reading, parameters.get(reading.parameter)));
  const readings = aligned(rows).map((row) => `    ${row}`);
  const notes = frame.notes.map((note) => `    ${noteSentence(note)}`);
  return block([
    `  ${frame.mission} ${frame.frame}: ${printable(frame.text)}`,
    `    ${standing}`,
    ...readings,
    ...notes,
  ]);
}

/** Said where it is more than a clock that was read to the second. */
function uncertaintyText({ receivedAtUncertaintySeconds: seconds }: FrameRecord): string {
  if (seconds === null || seconds <= SURE_SECONDS) return '';
  return ` (${seconds < 600 ? `${Math.round(seconds)} s` : `${Math.round(seconds / 60)} min`} uncertain)`;
}

function presenceLine(presence: PresenceRecord): string {
  const { mission, markHz, spaceHz, ebN0Db, transmissions, firstSeconds, lastSeconds } = presence;
  const where = `${firstSeconds.toFixed(1)} to ${lastSeconds.toFixed(1)} s`;
  const tones = `mark ${markHz.toFixed(0)} Hz, space ${spaceHz.toFixed(0)} Hz, Eb/N0 ${ebN0Db.toFixed(1)} dB`;
  const interval = `${transmissions} transmissions every ${presence.intervalSeconds.toFixed(1)} s`;
  const chance = `false alarm probability ${presence.falseAlarmProbability.toExponential(0)}`;
  return block([`# ${mission}: beacon present, not readable: ${interval}, ${where}, ${tones}, ${chance}`]);
}

function readingCells(reading: ReadingRecord, parameter: Parameter | undefined): [string, string, string] {
  const marks = [
    reading.trust,
    ...(reading.limit === 'soft' || reading.limit === 'hard' ? [`outside its ${reading.limit} limit`] : []),
    ...reading.notes,
  ];
  return [parameter?.name ?? reading.parameter, valueText(reading, parameter), marks.join(', ')];
}

function valueText({ value, unit }: ReadingRecord, parameter: Parameter | undefined): string {
  if (value === null) return 'no value';
  if (typeof value === 'string') return printable(value);
  const number =
    parameter?.decimals === undefined ? String(Number(value.toPrecision(6))) : value.toFixed(parameter.decimals);
  return unit === null ? number : `${number} ${unit}`;
}

function block(lines: readonly string[]): string {
  return lines.map((line) => `${line}\n`).join('');
}
