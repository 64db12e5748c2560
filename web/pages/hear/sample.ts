import { renderFrame } from '../../../decoders/frames/render.ts';
import type { Beacon, Mission } from '../../../decoders/mission/types.ts';
import { keyingOf } from '../../../decoders/simulate/beacon-keying.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import { randomValues } from '../../../decoders/simulate/random-values.ts';
import { simulateRecording } from '../../../decoders/simulate/recording.ts';

/** Fine enough for every loudspeaker at the highest tones there are. */
const SAMPLE_RATE_HZ = 16_000;
const MARGIN_SECONDS = 0.25;

/** What the mission sends: its first example, else its first frame with values that mean nothing. */
export function sampleText(mission: Mission): string {
  const [example] = mission.examples;
  if (example !== undefined) return example.text;
  const [frame] = mission.frames;
  return frame === undefined
    ? mission.callSign
    : renderFrame(mission, frame.id, randomValues(frame.layout, new Random(1)));
}

/** A text as the beacon keys it, without any noise: a WAV file that says inside that it is simulated. */
export function beaconSound(beacon: Beacon, text: string): { readonly wav: Blob; readonly seconds: number } {
  const recording = simulateRecording({
    texts: [text],
    keying: keyingOf(beacon, {}),
    marginSeconds: MARGIN_SECONDS,
    sampleRateHz: SAMPLE_RATE_HZ,
  });
  const pieces = Array.from(recording.wav(), (piece) => new Uint8Array(piece));
  return { wav: new Blob(pieces, { type: 'audio/wav' }), seconds: recording.frames / recording.sampleRateHz };
}
