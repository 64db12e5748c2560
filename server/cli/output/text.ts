import type { Mission, Parameter } from '../../../decoders/mission/types.ts';
import type { BurstRecord, FrameRecord, ReadingRecord, RecordingRecord, TextRecord } from '../records.ts';
import type { Format } from './format.ts';

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
      }
    },
  };
}

function recordingLines({
  file,
  seconds,
  sampleRate,
  channels,
  channel,
  startedAt,
  problems,
}: RecordingRecord): string {
  const which = channel === null ? '' : `, decoded number ${channel + 1}`;
  const count = channels === 1 ? '1 channel' : `${channels} channels${which}`;
  const start = startedAt === null ? '' : `, started ${startedAt}`;
  const lines = [`# ${file}: ${seconds.toFixed(1)} s at ${sampleRate} Hz, ${count}${start}`];
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
  const tones = `mark ${burst.markHz.toFixed(0)} Hz, space ${burst.spaceHz.toFixed(0)} Hz`;
  const where = `${burst.startSeconds.toFixed(1)} to ${burst.endSeconds.toFixed(1)} s`;
  return block([`# ${where}: ${burst.baud.toFixed(2)} Bd, ${tones}${level}`, printable(burst.text).trim()]);
}

function frameLines(frame: FrameRecord, parameters: ReadonlyMap<string, Parameter>): string {
  const when = [
    frame.startSeconds === null ? null : `at ${frame.startSeconds.toFixed(1)} s`,
    frame.receivedAt === null ? null : `received ${frame.receivedAt}`,
  ].filter((part) => part !== null);
  const standing = [frame.trust, `checksum ${frame.checksum}`, ...(frame.complete ? [] : ['incomplete']), ...when].join(
    ', ',
  );
  const rows = frame.readings.map((reading) => readingCells(reading, parameters.get(reading.parameter)));
  const widths = [0, 1].map((column) => Math.max(0, ...rows.map((cells) => [...cells[column]].length)));
  const readings = rows.map(([name, value, marks]) =>
    `    ${pad(name, widths[0])}  ${pad(value, widths[1])}  ${marks}`.trimEnd(),
  );
  const notes = frame.notes.map((note) => `    ${note}`);
  return block([
    `  ${frame.mission} ${frame.frame}: ${printable(frame.text)}`,
    `    ${standing}`,
    ...readings,
    ...notes,
  ]);
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

/** Text from the air or from strangers may hold codes that would ring or repaint a terminal: they are shown as pictures. */
function printable(text: string): string {
  return text
    .replaceAll(/\r\n?/g, '\n')
    .replaceAll(/[\0-\x09\x0b-\x1f]/g, (control) => String.fromCodePoint(0x2400 + control.charCodeAt(0)))
    .replaceAll(/[\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069]/g, '\ufffd');
}

function pad(text: string, width: number): string {
  return text + ' '.repeat(width - [...text].length);
}

function block(lines: readonly string[]): string {
  return lines.map((line) => `${line}\n`).join('');
}
