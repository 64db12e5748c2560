import { useEffect, useRef } from 'preact/hooks';
import { spreadLabels } from '../../charts/spread-labels.ts';
import { useWidth } from '../../shell/use-width.ts';
import { heat } from './heat.ts';
import { onColumn } from './session.ts';
import { COLUMNS_A_SECOND, HIGHEST_HZ, SPECTRUM_BINS } from './spectrum.ts';

const HEIGHT = SPECTRUM_BINS;
/** Time across a desk's width; a phone shows less of it at the same pace. */
const PIXELS_A_COLUMN = 2;
const MARKED_HZ = [1000, 2000, 3000];
/** A line of small print, at the least height that the picture is given. */
const LABELS_APART_HZ = 320;

/**
 * What is heard as strength over time and frequency: time runs to the right, frequency up. The picture stands still and is
 * written from left to right, then over again from the left behind a thin gap.
 */
export function Spectrogram({ tones }: { readonly tones: readonly { readonly hz: number; readonly word: string }[] }) {
  const { ref, width } = useWidth();
  const canvas = useRef<HTMLCanvasElement>(null);
  const columns = Math.max(1, Math.floor(width / PIXELS_A_COLUMN));

  useEffect(() => {
    const context = canvas.current?.getContext('2d');
    if (!context) return;
    const strip = context.createImageData(1, HEIGHT);
    let at = 0;
    return onColumn((column) => {
      for (let bin = 0; bin < SPECTRUM_BINS; bin++) {
        const place = 4 * (HEIGHT - 1 - bin);
        const [r, g, b] = heat(column[bin]);
        strip.data[place] = r;
        strip.data[place + 1] = g;
        strip.data[place + 2] = b;
        strip.data[place + 3] = 255;
      }
      context.putImageData(strip, at, 0);
      at = (at + 1) % columns;
      context.clearRect(at, 0, 2, HEIGHT);
    });
  }, [columns]);

  const heights = spreadLabels(
    tones.map(({ hz }) => hz),
    LABELS_APART_HZ,
    0,
    HIGHEST_HZ,
  );
  const seconds = Math.round(columns / COLUMNS_A_SECOND);
  return (
    <figure class="live-spectrogram">
      <div class="field" ref={ref}>
        <canvas ref={canvas} width={columns} height={HEIGHT} role="img" aria-label="Spectrogram of the last seconds" />
        <div class="edge" aria-hidden="true">
          {MARKED_HZ.map((hz) => (
            <span key={hz} style={{ bottom: `${(100 * hz) / HIGHEST_HZ}%` }}>
              {hz / 1000} kHz
            </span>
          ))}
          {tones.map(({ hz, word }, i) => (
            <span key={word} class="tone" style={{ bottom: `${(100 * heights[i]) / HIGHEST_HZ}%` }}>
              {word} {hz.toFixed(0)} Hz
            </span>
          ))}
        </div>
      </div>
      <figcaption class="small faint">
        {seconds} s from left to right, {HIGHEST_HZ} Hz from bottom to top.
      </figcaption>
    </figure>
  );
}
