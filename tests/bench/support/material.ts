import {
  arpeggios,
  carriers,
  dtmf,
  morse,
  music,
  selectiveCall,
  speech,
  steadyTone,
  synchronousFsk,
  whiteNoise,
} from '../../../decoders/simulate/material/index.ts';
import { type MaterialOptions, mix, type Source } from '../../../decoders/simulate/source.ts';
import { CHANNEL } from './shapes.ts';

/** What stands on recordings beside beacons. */
export interface Material {
  readonly name: string;
  readonly make: (options: MaterialOptions) => Source;
}

/** Noise of the strength that the others stand in. */
const NOISE_GAIN = 0.3;
const FAINT_GAIN = 0.1;

/** Materials other than noise. */
export const MATERIALS: readonly Material[] = [
  { name: 'speech', make: speech },
  { name: 'faint speech in noise', make: (options) => inNoise(speech({ ...options, gain: FAINT_GAIN }), options) },
  { name: 'DTMF', make: dtmf },
  { name: 'music', make: music },
  { name: 'drifting carriers', make: (options) => carriers({ ...options, mostDriftHzPerSecond: 20 }) },
  {
    name: 'carriers on both tones, in noise',
    make: (options) => {
      const tone = (hz: number) => steadyTone(hz + 2, { ...options, gain: FAINT_GAIN });
      return inNoise(mix(tone(CHANNEL.markHz), tone(CHANNEL.spaceHz)), options);
    },
  },
  { name: 'selective calls', make: selectiveCall },
  { name: 'Morse', make: morse },
  { name: 'arpeggios', make: arpeggios },
  { name: 'synchronous FSK', make: synchronousFsk },
];

function inNoise(source: Source, options: MaterialOptions): Source {
  return mix(source, whiteNoise({ ...options, gain: NOISE_GAIN }));
}
