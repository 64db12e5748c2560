import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { type Browser, openBrowser } from './browser.ts';

const SAMPLE = join(process.cwd(), 'samples', 'dunlin-three.wav');

/** The recording plays in its own time, 48 s a turn, and a burst settles some seconds after its end. */
export const PATIENCE_MS = 90_000;
export const WHOLE_MS = 4 * PATIENCE_MS;

const { expected } = JSON.parse(readFileSync(SAMPLE.replace('.wav', '.expected.json'), 'utf8'));
/** Of the frames that the microphone hears. */
export const heardTexts: string[] = expected.frames.map(({ text }: { text: string }) => text);

/** A browser whose microphone hears a recording with three frames, over and over. */
export function openListeningBrowser(): Promise<Browser> {
  return openBrowser(PATIENCE_MS, [
    '--use-fake-ui-for-media-stream',
    '--use-fake-device-for-media-stream',
    `--use-file-for-fake-audio-capture=${SAMPLE}`,
    '--autoplay-policy=user-gesture-required',
  ]);
}
