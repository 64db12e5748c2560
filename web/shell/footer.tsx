import { liveState } from '../api/live.ts';
import { site } from '../site/site.ts';
import { chooseTheme, THEMES, type Theme, theme } from './theme.ts';

const NAMES: Readonly<Record<Theme, string>> = {
  system: 'as the device',
  day: 'day',
  night: 'night',
  contrast: 'sunlight',
};

const LIVE: Readonly<Record<typeof liveState.value, string>> = {
  off: '',
  live: 'New data appears by itself.',
  asking: 'The live connection is down; the page asks for news every few seconds.',
};

const ALONE = 'These pages have no server: what you type, play or hear stays on this device.';

const toTheme = (text: string): Theme => THEMES.find((one) => one === text) ?? 'system';

export function Footer() {
  return (
    <footer class="foot">
      <p>
        All times are UTC; rest on one to see it in your own zone. Health states are advice to the licensed control
        operators, who decide. {site === null ? LIVE[liveState.value] : ALONE}
      </p>
      <label class="paper-choice">
        <span>Paper</span>
        <select value={theme.value} onChange={(event) => chooseTheme(toTheme(event.currentTarget.value))}>
          {THEMES.map((one) => (
            <option key={one} value={one}>
              {NAMES[one]}
            </option>
          ))}
        </select>
      </label>
      {site === null && (
        <p>
          <a href="/api/openapi.json">The interface for programs</a>
        </p>
      )}
    </footer>
  );
}
