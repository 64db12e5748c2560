// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { beaconText } from '../../../web/words/beacon.ts';

const common = { alphabet: 'ita2', also: [], shifts: {} } as const;

describe('how a beacon is keyed', () => {
  it('gives the tones of one that stands on an FM carrier', () => {
    const beacon = {
      ...common,
      modulation: 'afsk',
      downlinkHz: 145_920_000,
      baud: 45.45,
      markHz: 1275,
      spaceHz: 1445,
      shiftHz: 170,
      intervalSeconds: 60,
    } as const;
    expect(beaconText({ name: 'Dunlin-1', beacon })).toBe(
      'Dunlin-1 keys its telemetry on 145.920 MHz as two tones on an FM carrier, about once a minute: five-unit teletype of 45.45 baud, mark 1275 Hz and space 1445 Hz.',
    );
  });

  it('gives the shift where only that is known, and leaves out what is not', () => {
    expect(beaconText({ name: 'Plover-2', beacon: { ...common, modulation: 'fsk', shiftHz: 450 } })).toBe(
      'Plover-2 keys its telemetry by shifting its carrier: five-unit teletype, 450 Hz apart.',
    );
  });
});
