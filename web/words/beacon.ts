import type { Mission } from '../../decoders/mission/types.ts';
import { numberText } from './number.ts';
import { spanText } from './time.ts';

const MODULATION = { afsk: 'as two tones on an FM carrier', fsk: 'by shifting its carrier' } as const;

/** How a beacon is keyed, in a sentence. */
export function beaconText({ name, beacon }: Pick<Mission, 'name' | 'beacon'>): string {
  const { modulation, downlinkHz, baud, markHz, spaceHz, shiftHz, intervalSeconds } = beacon;
  const where = downlinkHz === undefined ? '' : ` on ${(downlinkHz / 1e6).toFixed(3)} MHz`;
  const often = intervalSeconds === undefined ? '' : `, about ${oftenText(intervalSeconds)}`;
  const speed = baud === undefined ? 'five-unit teletype' : `five-unit teletype of ${numberText(baud)} baud`;
  const tones =
    modulation === 'afsk' && markHz !== undefined && spaceHz !== undefined
      ? `, mark ${numberText(markHz)} Hz and space ${numberText(spaceHz)} Hz`
      : shiftHz === undefined
        ? ''
        : `, ${numberText(shiftHz)} Hz apart`;
  return `${name} keys its telemetry${where} ${MODULATION[modulation]}${often}: ${speed}${tones}.`;
}

function oftenText(seconds: number): string {
  return seconds === 60 ? 'once a minute' : `every ${spanText(seconds)}`;
}
