import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import type { DecodeOptions } from '../../../decoders/decode.ts';
import { renderFrame } from '../../../decoders/frames/render.ts';
import { readTypedText } from '../../../decoders/frames/typed.ts';
import { isPractice, PRACTICE_CALL_SIGN, practiceOf } from '../../../decoders/mission/practice.ts';
import { readMission } from '../../../decoders/mission/read.ts';
import type { Mission } from '../../../decoders/mission/types.ts';
import { createRecordingDecoder } from '../../../decoders/recording.ts';
import { keyingOf } from '../../../decoders/simulate/beacon-keying.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import { randomValues } from '../../../decoders/simulate/random-values.ts';
import { simulateRecording } from '../../../decoders/simulate/recording.ts';

function missionOf(name: string): { mission: Mission; practice: Mission } {
  const { mission } = readMission(JSON.parse(readFileSync(`samples/${name}.json`, 'utf8')));
  const practice = mission === null ? null : practiceOf(mission);
  if (mission === null || practice === null) throw new Error(`${name} cannot be practised`);
  return { mission, practice };
}

function textsOf(practice: Mission): string[] {
  const random = new Random(3);
  return practice.frames.map(({ id, layout }) => renderFrame(practice, id, randomValues(layout, random)));
}

/** Frames that a recording of the text gives. */
function heard(text: string, mission: Mission, options: Pick<DecodeOptions, 'practice'> = {}): string[] {
  const recording = simulateRecording({ texts: [text], keying: keyingOf(mission.beacon, {}), sampleRateHz: 8000 });
  const decoder = createRecordingDecoder({ missions: [mission], ...options });
  const texts: string[] = [];
  const note: Parameters<typeof decoder.end>[0] = (event) => {
    if (event.type === 'burst') texts.push(...event.frames.map(({ frame }) => frame.text));
  };
  for (const piece of recording.wav()) decoder.push(piece, note);
  decoder.end(note);
  return texts;
}

describe('practice', () => {
  test.each(['dunlin-1', 'plover-2'])('of %s reads as practice, and never as the satellite', (name) => {
    const { mission, practice } = missionOf(name);
    for (const text of textsOf(practice)) {
      expect(isPractice(text)).toBe(true);
      expect(readTypedText(practice, text).frames.map((frame) => frame.text)).toEqual([text]);
      expect(readTypedText(mission, text).frames.filter(({ trust }) => trust !== 'doubtful')).toEqual([]);
    }
  });

  test('as a sound gives no frame in flight', () => {
    const { mission, practice } = missionOf('dunlin-1');
    const [text = ''] = textsOf(practice);
    expect(heard(text, practice)).toEqual([text]);
    expect(heard(text, mission)).toEqual([]);
  });

  test('as a sound is read where it is asked for, beside what is in flight', () => {
    const { mission, practice } = missionOf('dunlin-1');
    const [text = ''] = textsOf(practice);
    expect(heard(text, mission, { practice: true })).toEqual([text]);
    const [flown = ''] = textsOf(mission);
    expect(heard(flown, mission, { practice: true })).toEqual([flown]);
  });

  test('in a piece that does not name it is no frame: it could be of one in flight', () => {
    const { mission, practice } = missionOf('dunlin-1');
    const [first = '', second = ''] = textsOf(practice);
    // begins behind the first call sign
    expect(heard(`${first.slice(PRACTICE_CALL_SIGN.length + 3)} ${second}`, mission, { practice: true })).toEqual([
      second,
    ]);
  });

  test('is not made of a mission whose frames can do without the call sign', () => {
    const { mission } = missionOf('dunlin-1');
    const [first, ...others] = mission.frames;
    if (first === undefined) throw new Error('no frame');
    const nameless = { ...first, layout: first.layout.slice(1) };
    expect(practiceOf({ ...mission, frames: [nameless, ...others] })).toBeNull();
  });

  test('has a call sign that no mission may have', () => {
    const json = JSON.parse(readFileSync('samples/dunlin-1.json', 'utf8').replaceAll('Q0DUN', PRACTICE_CALL_SIGN));
    const { faults } = readMission({ ...json, examples: [] });
    expect(faults).toContainEqual(expect.objectContaining({ path: 'callSign' }));
  });
});
