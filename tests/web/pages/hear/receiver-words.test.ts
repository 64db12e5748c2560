// @vitest-environment node
import { describe, expect, it } from 'vitest';
import type { Beacon } from '../../../../decoders/mission/types.ts';
import { estimateDoppler } from '../../../../web/pages/hear/doppler.ts';
import {
  alsoTexts,
  dopplerFormula,
  oftenText,
  receiverText,
  speedText,
  tonesText,
} from '../../../../web/pages/hear/receiver-words.ts';

const tones: Beacon = {
  modulation: 'afsk',
  downlinkHz: 145_920_000,
  baud: 45.45,
  markHz: 1275,
  spaceHz: 1445,
  shiftHz: 170,
  stopElements: 1.5,
  alphabet: 'ita2',
  intervalSeconds: 60,
  also: [{ baud: 75 }, { markHz: 2125, spaceHz: 2295 }],
  shifts: {},
};
const shifted: Beacon = {
  modulation: 'fsk',
  downlinkHz: 435_350_000,
  shiftHz: 450,
  alphabet: 'us-tty',
  also: [],
  shifts: {},
};

describe('what a listener is told', () => {
  it('is FM for tones on a carrier, with their pitch', () => {
    expect(receiverText(tones)).toMatch(/^FM/);
    expect(tonesText(tones)).toContain('mark 1275 Hz, space 1445 Hz');
    expect(speedText(tones)).toBe('45.45 baud, five-unit start-stop, 1.5 stop elements, ITA2');
  });

  it('is SSB or I/Q for a shifted carrier, the dial below it by the pitch of the middle', () => {
    // 435.350 MHz less 1.36 kHz
    expect(receiverText(shifted)).toContain('435.349 MHz');
    expect(receiverText(shifted)).toContain('I/Q');
    expect(tonesText(shifted)).toContain('450 Hz apart');
    expect(speedText(shifted)).toBe('unknown speed, five-unit start-stop, US-TTY');
  });

  it('names how often, in whole seconds where that is nearer', () => {
    expect(oftenText(tones, 10.4)).toMatch(/^a burst about every 60 s, each of some 10 s/);
    expect(oftenText({ ...tones, intervalSeconds: 600 }, 10.4)).toMatch(/every 10 min/);
    expect(oftenText(shifted, 3)).toMatch(/^in bursts/);
  });

  it('names what else the beacon may do', () => {
    expect(alsoTexts(tones)).toEqual(['75 baud', 'tones 2125 and 2295 Hz']);
  });

  it('shows where the Doppler shift comes from', () => {
    expect(dopplerFormula(145_920_000, estimateDoppler(145_920_000))).toBe(
      'v/c × f = 7.6 km/s ÷ 299 792 km/s × 145.920 MHz, 93\u00a0% of it at the horizon',
    );
  });
});
