import { describe, expect, it } from 'vitest';
import { encodeWav } from '../../decoders/audio/wav-write.ts';
import type { FrameWithReadings } from '../../decoders/decode.ts';
import { renderFrame } from '../../decoders/frames/render.ts';
import { addNoiseAtEbN0, mixInto } from '../../decoders/simulate/channel.ts';
import { Random } from '../../decoders/simulate/random.ts';
import { keyBurst } from '../../decoders/simulate/transmitter.ts';
import { SkippedTime } from '../../decoders/skipped-time.ts';
import { encode } from '../../decoders/teletype/alphabets.ts';
import { missionOf } from './support/missions.ts';
import { decodeBytes } from './support/wav.ts';

const LAYOUT = [
  { text: 'Q0DUN H ' },
  { field: 'up', digits: 8 },
  { text: ' ' },
  { checksum: 'crc-16/ibm-3740', hex: 4 },
];
const UPTIME = [{ id: 'uptime', name: 'Up for', unit: 's', from: 'up', role: 'uptime' }];
const MISSION = missionOf({ h: LAYOUT }, { intervalSeconds: 60 }, { parameters: UPTIME });

type Heard = readonly [atSeconds: number, uptime: number | null, trust?: 'confirmed' | 'doubtful'];

/** Only what is looked at. */
function problems(heard: readonly Heard[], mission = MISSION, text = 'Q0DUN H 00000001 0000') {
  const skipped = new SkippedTime([mission]);
  for (const [startSeconds, value, trust = 'confirmed'] of heard) {
    const frame = { frame: 'h', startSeconds, trust, text } as FrameWithReadings['frame'];
    const readings = [{ parameter: 'uptime', value, unit: 's', trust, confidence: 1, limit: null, notes: [] }];
    const frames = [{ mission: mission.id, frame, readings }];
    skipped.take({ type: 'burst', burst: {} as never, frames });
  }
  return skipped.problems();
}

describe('SkippedTime', () => {
  it('sees by the clock of the satellite how much a recorder left out, and where', () => {
    expect(
      problems([
        [10, 5000],
        [70, 5060],
        [100, 5390],
      ]),
    ).toEqual([
      {
        code: 'time-gaps',
        message: expect.stringContaining('goes on by 300 s more than the recording between 70 and 100 s'),
        atSeconds: 70,
      },
    ]);
  });

  it('sees it by transmissions that are out of step', () => {
    const times = [5, 65, 125, 185, 217, 277, 337, 397];
    const [problem, ...others] = problems(times.map((at) => [at, null]));
    expect(others).toEqual([]);
    expect(problem).toMatchObject({ code: 'time-gaps', atSeconds: 185 });
    expect(problem.message).toContain('out of step between 185 and 217 s');
  });

  it.each<[string, Heard[]]>([
    [
      'time runs on',
      [
        [10, 5000],
        [70, 5060],
        [190, 5180],
      ],
    ],
    [
      'the clock of the satellite is 1 % fast',
      [
        [10, 5000],
        [610, 5606],
      ],
    ],
    [
      'a frame shows a time that is some seconds old',
      [
        [10, 5000],
        [70, 5068],
      ],
    ],
    [
      'the satellite began anew',
      [
        [10, 5000],
        [70, 12],
      ],
    ],
    [
      'nobody read the uptime for certain',
      [
        [10, 5000],
        [70, 5800, 'doubtful'],
        [130, 5120],
      ],
    ],
    [
      'the uptime is years ahead, as of made-up values',
      [
        [10, 5000],
        [70, 90_000_000],
      ],
    ],
    [
      'only two came',
      [
        [10, null],
        [45, null],
      ],
    ],
  ])('says nothing where %s', (_, heard) => {
    expect(problems(heard)).toEqual([]);
  });

  it('says nothing of practice, whose figures are made up', () => {
    const heard: Heard[] = [
      [10, 5000],
      [70, 5060],
      [100, 5390],
    ];
    expect(problems(heard)).toHaveLength(1);
    expect(problems(heard, MISSION, 'Q0PRACTICE H 00000001 0000')).toEqual([]);
  });

  it('takes a clock that counts minutes for no more exact than that', () => {
    const minutes = [{ id: 'uptime', name: 'Up for', unit: 'min', from: 'up', role: 'uptime' }];
    const mission = missionOf({ h: LAYOUT }, {}, { parameters: minutes });
    expect(
      problems(
        [
          [10, 5000],
          [65, 5002],
        ],
        mission,
      ),
    ).toEqual([]);
    expect(
      problems(
        [
          [10, 5000],
          [65, 5007],
        ],
        mission,
      ),
    ).toHaveLength(1);
  });

  it('a recording of which a minute was cut out says so, and keeps its frames', () => {
    const sampleRateHz = 8000;
    const random = new Random(3);
    const samples = new Float32Array(30 * sampleRateHz);
    for (const [i, up] of [70_000, 70_075].entries()) {
      const codes = encode(renderFrame(MISSION, 'h', { up }), 'ita2', { startShift: 'unknown' });
      const burst = keyBurst(codes, {
        sampleRateHz,
        baud: 500 / 11,
        stopElements: 1.5,
        markHz: 1275,
        spaceHz: 1445,
        amplitude: 0.2,
        leadMarkElements: 9,
        tailMarkElements: 9,
      });
      mixInto(samples, burst, (1 + 15 * i) * sampleRateHz);
    }
    addNoiseAtEbN0(samples, { ebN0Db: 14, baud: 500 / 11, sampleRateHz, signalPower: 0.02, random });
    const format = { sampleRateHz, format: 'pcm16' } as const;
    const decode = (comment?: string) =>
      decodeBytes(encodeWav(samples, { ...format, ...(comment ? { comment } : {}) }), { missions: [MISSION] });
    const { bursts, summary } = decode();
    expect(bursts.map(({ frames }) => frames[0].frame.trust)).toEqual(['confirmed', 'confirmed']);
    expect(summary.problems).toMatchObject([{ code: 'time-gaps' }]);
    expect(summary.problems[0].atSeconds).toBeCloseTo(1.4, 0);
    expect(decode('Simulated by fiveunit, a test').summary.problems).toEqual([]);
  });
});
