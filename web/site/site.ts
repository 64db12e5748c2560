/**
 * What a static site carries inside its document: these pages without a server behind them. Written by `npm run
 * build:pages`, which has checked every definition.
 */
export interface Site {
  /** Definitions as their authors wrote them; read them with `readMission`. */
  readonly missions: readonly SiteMission[];
  /** Server that takes what was heard, as `https://wren.example`; null when there is none. */
  readonly server: string | null;
  /** ISO 8601. */
  readonly builtAt: string;
}

export interface SiteMission {
  readonly id: string;
  readonly name: string;
  readonly callSign: string;
  readonly definition: object;
}

/** Id of the element that holds it. */
export const SITE_ELEMENT = 'fiveunit-site';

/** The site that this document is; null when a server sent it. */
export const site: Site | null = typeof document === 'undefined' ? null : siteIn(document);

/** Reads what a document carries. What was built together with these pages is not checked a second time. */
export function siteIn(from: Document): Site | null {
  const text = from.getElementById(SITE_ELEMENT)?.textContent;
  return text === undefined || text === null ? null : (JSON.parse(text) as Site);
}
