import { site } from '../../site/site.ts';

/** What becomes of what is heard. */
export const FATE =
  site === null
    ? {
        withoutCallSign: 'Without a call sign nothing is kept or sent: what is heard is shown here and then gone.',
        withCallSign: 'Each burst is kept in this browser until the server has it.',
        everything: 'Keep and send everything, not the bursts alone. It may hold the room and other people’s voices.',
        leaving: 'Nothing leaves the device but the bursts, and only under a call sign.',
      }
    : {
        withoutCallSign: 'Without a call sign nothing is kept: what is heard is shown here and then gone.',
        withCallSign: 'Each burst is kept in this browser, and can be saved as a file. These pages send nothing.',
        everything: 'Keep everything, not the bursts alone. It may hold the room and other people’s voices.',
        leaving: 'Nothing leaves the device: these pages have no server.',
      };
