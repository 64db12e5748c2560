import { effect, signal } from '@preact/signals';
import { keep, recall } from './kept.ts';

export const THEMES = ['system', 'day', 'night', 'contrast'] as const;
export type Theme = (typeof THEMES)[number];

const isTheme = (text: string | null): text is Theme => (THEMES as readonly (string | null)[]).includes(text);
const kept = recall('theme');

/** What the viewer chose; `system` follows the device. */
export const theme = signal<Theme>(isTheme(kept) ? kept : 'system');

/** Counts changes of the drawn colours, so that canvases know when to draw again. */
export const inkChanges = signal(0);

/** Keeps the document in the chosen theme. Called once. */
export function applyTheme(): void {
  const wantsContrast = window.matchMedia('(prefers-contrast: more)');
  const wantsNight = window.matchMedia('(prefers-color-scheme: dark)');
  const apply = (): void => {
    const chosen = theme.value === 'system' && wantsContrast.matches && !wantsNight.matches ? 'contrast' : theme.value;
    if (chosen === 'system') delete document.documentElement.dataset.theme;
    else document.documentElement.dataset.theme = chosen;
    inkChanges.value = inkChanges.peek() + 1;
  };
  effect(apply);
  wantsContrast.addEventListener('change', apply);
  wantsNight.addEventListener('change', apply);
}

export function chooseTheme(chosen: Theme): void {
  theme.value = chosen;
  keep('theme', chosen === 'system' ? '' : chosen);
}
