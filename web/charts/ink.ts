const NAMES = ['ink', 'faint', 'grid', 'rule-strong', 'series', 'look-line', 'act', 'accent', 'paper'] as const;

export type Ink = Readonly<Record<(typeof NAMES)[number], string>>;

/** The theme's colours as a canvas understands them: it knows neither custom properties nor `light-dark()`. */
export function inkOf(element: Element): Ink {
  const probe = document.createElement('span');
  probe.hidden = true;
  element.append(probe);
  const colour = (name: string): string => {
    probe.style.color = `var(--${name})`;
    return getComputedStyle(probe).color;
  };
  const entries = NAMES.map((name) => [name, colour(name)] as const);
  probe.remove();
  return Object.fromEntries(entries) as Ink;
}
