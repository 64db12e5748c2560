import type { Beacon, BeaconHint } from '../../../decoders/mission/types.ts';
import { keyingOf } from '../../../decoders/simulate/beacon-keying.ts';
import { numberText } from '../../words/number.ts';
import { spanText } from '../../words/time.ts';
import type { DopplerEstimate } from './doppler.ts';

/** A frequency as receivers show it: `145.920 MHz`. */
export function megahertzText(hz: number): string {
  return `${(hz / 1e6).toFixed(3)} MHz`;
}

/** `3.4 kHz`, `52 Hz`. */
export function shiftText(hz: number): string {
  return hz >= 1000 ? `${(hz / 1000).toFixed(1)} kHz` : `${Math.round(hz)} Hz`;
}

/** How to set the receiver. */
export function receiverText(beacon: Beacon): string {
  if (beacon.modulation === 'afsk') {
    return 'FM, narrow, squelch open: the tones are what you hear. Any hand-held receiver does.';
  }
  const { markHz, spaceHz } = keyingOf(beacon, {});
  const middle = (markHz + spaceHz) / 2;
  const dial =
    beacon.downlinkHz === undefined
      ? `about ${(middle / 1000).toFixed(1)} kHz below the carrier`
      : `near ${megahertzText(beacon.downlinkHz - middle)}`;
  return `SSB, upper sideband, dial ${dial}, so that both tones lie between 0.5 and 2.5 kHz; or record the band as I/Q. FM shows nothing of it.`;
}

/** What is heard: the tones of a voice channel, or how far apart they lie. */
export function tonesText(beacon: Beacon): string {
  const { markHz, spaceHz, shiftHz } = beacon;
  if (beacon.modulation === 'afsk' && markHz !== undefined && spaceHz !== undefined) {
    return `mark ${numberText(markHz)} Hz, space ${numberText(spaceHz)} Hz, whatever the Doppler shift`;
  }
  if (shiftHz === undefined) return 'two tones; the mission does not say which';
  return `two tones ${numberText(shiftHz)} Hz apart; where they lie depends on your dial, and they slide down during a pass`;
}

/** Speed and alphabet. */
export function speedText({ baud, stopElements, alphabet }: Beacon): string {
  const speed = baud === undefined ? 'unknown speed' : `${numberText(baud)} baud`;
  const stop = stopElements === undefined ? '' : `, ${numberText(stopElements)} stop elements`;
  return `${speed}, five-unit start-stop${stop}, ${alphabet === 'ita2' ? 'ITA2' : 'US-TTY'}`;
}

/** Further keying that it may change to, one text each. */
export function alsoTexts({ also }: Beacon): string[] {
  return also.map(hintText).filter((text) => text !== '');
}

function hintText({ downlinkHz, baud, markHz, spaceHz, shiftHz }: Partial<BeaconHint>): string {
  return [
    downlinkHz === undefined ? '' : megahertzText(downlinkHz),
    baud === undefined ? '' : `${numberText(baud)} baud`,
    markHz === undefined || spaceHz === undefined ? '' : `tones ${numberText(markHz)} and ${numberText(spaceHz)} Hz`,
    shiftHz === undefined || markHz !== undefined ? '' : `tones ${numberText(shiftHz)} Hz apart`,
  ]
    .filter((text) => text !== '')
    .join(', ');
}

const LONGEST_IN_SECONDS = 100;

function secondsText(seconds: number): string {
  return `${numberText(seconds)} s`;
}

/** How often, and how long it lasts. */
export function oftenText({ intervalSeconds }: Beacon, burstSeconds: number): string {
  const every = intervalSeconds === undefined || intervalSeconds > LONGEST_IN_SECONDS ? spanText : secondsText;
  const often = intervalSeconds === undefined ? 'in bursts' : `a burst about every ${every(intervalSeconds)}`;
  return `${often}, each of some ${Math.max(1, Math.round(burstSeconds))} s; a pass lasts 5 to 12 min`;
}

/** Where the number comes from. */
export function dopplerFormula(carrierHz: number, doppler: DopplerEstimate): string {
  const speed = (doppler.speedMetresPerSecond / 1000).toFixed(1);
  return `v/c × f = ${speed} km/s ÷ 299 792 km/s × ${megahertzText(carrierHz)}, ${Math.round(100 * doppler.shareAtHorizon)}\u00a0% of it at the horizon`;
}
