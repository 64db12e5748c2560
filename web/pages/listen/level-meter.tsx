import { level } from './session.ts';

/** Below this nothing is connected, as a rule. */
const LOWEST_DB = -60;

const decibels = (amplitude: number): number => Math.max(LOWEST_DB, 20 * Math.log10(amplitude + 1e-6));
const share = (db: number): number => 1 - db / LOWEST_DB;

/** What to do about the loudness; empty when it is right. */
export function advice(rms: number, peak: number): string {
  if (peak >= 0.99) return 'too loud: turn it down, its peaks are cut off';
  if (rms < 1e-5) return 'silent: is the receiver connected, and its squelch open?';
  if (decibels(rms) < -50) return 'very faint: turn it up, or hold the microphone nearer';
  return '';
}

/** How loud the input is. */
export function LevelMeter() {
  const { rms, peak } = level.value ?? { rms: 0, peak: 0 };
  const rmsDb = decibels(rms);
  return (
    <div class="level">
      <meter
        aria-label="Level, dB below the loudest"
        min={LOWEST_DB}
        max={0}
        low={-50}
        high={-3}
        optimum={-20}
        value={rmsDb}
      />
      <span class="peak" aria-hidden="true" style={{ left: `${100 * share(decibels(peak))}%` }} />
      <span class="small faint">
        {rmsDb <= LOWEST_DB ? 'below −60' : `−${Math.abs(rmsDb).toFixed(0)}`} dB
        {advice(rms, peak) && `, ${advice(rms, peak)}`}
      </span>
    </div>
  );
}
