import { first } from './0001-first.ts';
import { copies } from './0002-copies.ts';
import { presence } from './0003-presence.ts';
import { times } from './0004-times.ts';
import { bands } from './0005-bands.ts';
import { cutOuts } from './0006-cut-outs.ts';
import { olderBands } from './0007-older-bands.ts';

/** In order, from an empty database; the n-th brings it to version n. Never change one that was released: add one. */
export const migrations: readonly string[] = [first, copies, presence, times, bands, cutOuts, olderBands];
