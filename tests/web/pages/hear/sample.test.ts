// @vitest-environment node
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { readMission } from '../../../../decoders/mission/read.ts';
import { createRecordingDecoder } from '../../../../decoders/recording.ts';
import { beaconSound, sampleText } from '../../../../web/pages/hear/sample.ts';

function missionOf(name: string, change: Record<string, unknown> = {}) {
  const json = JSON.parse(readFileSync(`samples/${name}.json`, 'utf8'));
  const { mission } = readMission({ ...json, ...change });
  if (mission === null) throw new Error(`${name} is faulty`);
  return mission;
}

describe('the sample to listen to', () => {
  it.each(['dunlin-1', 'plover-2'])('of %s reads as the mission’s first example', async (name) => {
    const mission = missionOf(name);
    const { wav, seconds } = beaconSound(mission.beacon, sampleText(mission));
    const decoder = createRecordingDecoder({ missions: [mission] });
    const texts: string[] = [];
    const note: Parameters<typeof decoder.end>[0] = (event) => {
      if (event.type === 'burst') texts.push(...event.frames.map(({ frame }) => frame.text));
    };
    decoder.push(new Uint8Array(await wav.arrayBuffer()), note);
    const { info } = decoder.end(note);
    expect(texts).toEqual([mission.examples[0]?.text]);
    expect(info.simulated).toBe(true);
    expect(seconds).toBeGreaterThan(5);
  });

  it('is made up of the first frame where the mission has no example', () => {
    const mission = missionOf('dunlin-1', { examples: [] });
    expect(sampleText(mission)).toMatch(/^Q0DUN P \d{5} /);
  });
});
