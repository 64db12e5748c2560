import type { Beacon } from '../mission/types.ts';
import type { BeaconKeying } from './burst-plan.ts';

/** What is to be otherwise than the definition says. */
export interface KeyingChanges {
  readonly mark?: number;
  readonly space?: number;
  readonly baud?: number;
  readonly stop?: number;
}

/** Where nobody says anything: the commonest speed and shift, in the middle of a voice channel. */
const USUAL = { baud: 45.45, shiftHz: 170, centreHz: 1360, stopElements: 1.5 };

/**
 * How a beacon keys its text.
 *
 * @param beacon null for none at all.
 */
export function keyingOf(beacon: Beacon | null, changes: KeyingChanges): BeaconKeying {
  const shiftHz = beacon?.shiftHz ?? USUAL.shiftHz;
  const markHz = changes.mark ?? beacon?.markHz ?? USUAL.centreHz - shiftHz / 2;
  return {
    markHz,
    spaceHz: changes.space ?? beacon?.spaceHz ?? markHz + shiftHz,
    baud: changes.baud ?? beacon?.baud ?? USUAL.baud,
    stopElements: changes.stop ?? beacon?.stopElements ?? USUAL.stopElements,
    alphabet: beacon?.alphabet ?? 'ita2',
    unshiftOnSpace: beacon?.shifts.unshiftOnSpace ?? false,
    repeatShifts: beacon?.shifts.repeat ?? 1,
  };
}
