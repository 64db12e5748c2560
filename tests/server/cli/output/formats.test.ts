import { describe, expect, test } from 'vitest';
import type { Mission } from '../../../../decoders/mission/types.ts';
import { csvFormat } from '../../../../server/cli/output/csv.ts';
import { ndjsonFormat } from '../../../../server/cli/output/ndjson.ts';
import { textFormat } from '../../../../server/cli/output/text.ts';
import type {
  BurstRecord,
  FrameRecord,
  OutputRecord,
  PresenceRecord,
  RecordingRecord,
} from '../../../../server/cli/records.ts';

const recording: RecordingRecord = {
  type: 'recording',
  file: 'a, b.wav',
  sha256: '00',
  encoding: 'wav pcm 16',
  sampleRate: 8000,
  channels: 2,
  channel: 1,
  seconds: 61.25,
  startedAt: '2027-03-01T18:40:00.000Z',
  startedAtSource: 'bext',
  timeAccuracySeconds: 1,
  timeBase: null,
  simulated: true,
  problems: [{ code: 'cut-short', message: 'the file ends early', atSeconds: 61.25 }],
};

const burst: BurstRecord = {
  type: 'burst',
  startSeconds: 2,
  endSeconds: 9.5,
  baud: 45.45,
  markHz: 1275,
  spaceHz: 1445,
  reversed: false,
  stopElements: 1.5,
  driftHzPerSecond: 0,
  ebN0Db: 12.1,
  text: 'HELLO "THERE",\nQ0DUN',
};

const frame: FrameRecord = {
  type: 'frame',
  mission: 'dunlin-1',
  frame: 'power',
  startSeconds: 2.2,
  receivedAt: '2027-03-01T18:40:02.200Z',
  receivedAtSource: 'bext',
  receivedAtUncertaintySeconds: 1,
  text: 'Q0DUN P 1',
  complete: true,
  checksum: 'pass',
  trust: 'confirmed',
  confidence: 0.9999,
  fields: { battery: { raw: 7921, confidence: 0.99 } },
  readings: [
    {
      parameter: 'battery_voltage',
      value: 7.9214,
      unit: 'V',
      trust: 'confirmed',
      confidence: 0.99,
      limit: 'soft',
      notes: [],
    },
    {
      parameter: 'mode',
      value: '=SAFE',
      unit: null,
      trust: 'confirmed',
      confidence: 0.99,
      limit: null,
      notes: [],
    },
    {
      parameter: 'current',
      value: -0.13,
      unit: 'A',
      trust: 'doubtful',
      confidence: 0.5,
      limit: 'normal',
      notes: ['the widest limits apply'],
    },
    { parameter: 'sun', value: null, unit: null, trust: 'doubtful', confidence: 0, limit: null, notes: [] },
  ],
  notes: [],
};

/** Only what the formats look at. */
const mission = {
  id: 'dunlin-1',
  parameters: [{ id: 'battery_voltage', name: 'Battery voltage', decimals: 2 }],
} as unknown as Mission;

const print = (format: { head: string; print(record: OutputRecord): string }, records: readonly OutputRecord[]) =>
  format.head + records.map((record) => format.print(record)).join('');

describe('ndjson', () => {
  test('is the records, one a line', () => {
    const lines = print(ndjsonFormat(), [recording, burst, frame]).trimEnd().split('\n');
    expect(lines.map((line) => JSON.parse(line))).toEqual([recording, burst, frame]);
  });
});

describe('csv', () => {
  test('with a mission: a row a reading, formulas made harmless, numbers left alone', () => {
    expect(print(csvFormat([mission]), [recording, burst, frame]).split('\n')).toEqual([
      'file,mission,frame,start_seconds,received_at,parameter,value,unit,trust,confidence,limit,received_at_source,received_at_uncertainty_seconds',
      '"a, b.wav",dunlin-1,power,2.2,2027-03-01T18:40:02.200Z,battery_voltage,7.9214,V,confirmed,0.99,soft,bext,1',
      `"a, b.wav",dunlin-1,power,2.2,2027-03-01T18:40:02.200Z,mode,'=SAFE,,confirmed,0.99,,bext,1`,
      '"a, b.wav",dunlin-1,power,2.2,2027-03-01T18:40:02.200Z,current,-0.13,A,doubtful,0.5,normal,bext,1',
      '"a, b.wav",dunlin-1,power,2.2,2027-03-01T18:40:02.200Z,sun,,,doubtful,0,,bext,1',
      '',
    ]);
  });

  test('without a mission: a row a burst', () => {
    expect(print(csvFormat([]), [recording, burst])).toBe(
      'file,start_seconds,end_seconds,baud,mark_hz,space_hz,eb_n0_db,text\n' +
        '"a, b.wav",2,9.5,45.45,1275,1445,12.1,"HELLO ""THERE"",\nQ0DUN"\n',
    );
  });
});

describe('text', () => {
  test('gives the text as it was sent, and says about it in lines of their own', () => {
    const lines = print(textFormat([]), [recording, burst]).split('\n');
    expect(lines.filter((line) => !line.startsWith('#'))).toEqual(['HELLO "THERE",', 'Q0DUN', '']);
    expect(lines[0]).toBe(
      '# a, b.wav: 61.3 s at 8000 Hz, 2 channels, decoded number 2, started 2027-03-01T18:40:00.000Z (bext), simulated',
    );
    expect(lines[1]).toContain('the file ends early');
    expect(lines[2]).toContain('45.45 Bd, mark 1275 Hz, space 1445 Hz, Eb/N0 12.1 dB');
  });

  test('gives readings by name, with unit, decimals, trust and limits', () => {
    const lines = print(textFormat([mission]), [frame]).split('\n');
    expect(lines[0]).toBe('  dunlin-1 power: Q0DUN P 1');
    expect(lines[1]).toContain('confirmed, checksum pass, at 2.2 s, received 2027-03-01T18:40:02.200Z');
    expect(lines[2]).toMatch(/^ {4}Battery voltage +7\.92 V +confirmed, outside its soft limit$/);
    expect(lines[4]).toMatch(/^ {4}current +-0\.13 A +doubtful, the widest limits apply$/);
    expect(lines[5]).toMatch(/^ {4}sun +no value +doubtful$/);
  });

  test('lets no control code through to a terminal', () => {
    const nasty = { ...burst, text: 'A\x07B\x1b[31mC\u009bD\u202eE\r\nF' };
    const printed = print(textFormat([]), [nasty]);
    expect(printed).toContain('A␇B␛[31mC\ufffdD\ufffdE\nF');
  });
});

describe('a beacon that was present but not readable', () => {
  const presence: PresenceRecord = {
    type: 'presence',
    mission: 'dunlin-1',
    markHz: 1287.4,
    spaceHz: 1457.4,
    ebN0Db: -2.61,
    transmissions: 8,
    firstSeconds: 23.4,
    lastSeconds: 564.9,
    intervalSeconds: 60.17,
    falseAlarmProbability: 0.00012,
  };

  test('is a line of text', () => {
    expect(textFormat([]).print(presence)).toBe(
      '# dunlin-1: beacon present, not readable: 8 transmissions every 60.2 s, 23.4 to 564.9 s, mark 1287 Hz, space 1457 Hz, Eb/N0 -2.6 dB, false alarm probability 1e-4\n',
    );
  });

  test('is an object of its own in ndjson, and no row in csv', () => {
    expect(JSON.parse(ndjsonFormat().print(presence))).toEqual(presence);
    expect(csvFormat([]).print(presence)).toBe('');
  });
});
