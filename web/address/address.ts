import { site } from '../site/site.ts';

/** The pages that exist, in the order of the navigation. */
export const PAGES = ['now', 'trends', 'recordings', 'listen', 'frames', 'mission'] as const;

export type Page = (typeof PAGES)[number];

/** Those that need no server. */
const ALONE: readonly Page[] = ['listen', 'frames', 'mission'];

/** The pages that can be gone to from here, in the order of the navigation. */
export const OPEN_PAGES: readonly Page[] = site === null ? PAGES : PAGES.filter((page) => ALONE.includes(page));

/** Stands at the address `/`. */
export const HOME: Page = OPEN_PAGES[0] ?? 'now';

/** A plain web host knows one document, so that a static site says behind a `#` where one is. */
const LEAD = site === null ? '' : '#';

/** What the address bar says: a page, perhaps one thing on it, and how it is looked at. */
export interface Address {
  /** Null when the path names no page. */
  readonly page: Page | null;
  /** One recording, one frame, or a sheet of the mission; null for the page itself. */
  readonly id: string | null;
  readonly query: URLSearchParams;
}

export type Query = Readonly<Record<string, string | number | readonly string[] | null | undefined>>;

/** What the page *Mission* has beside itself. */
const SHEETS = ['hear'];

const isPage = (name: string): name is Page => (OPEN_PAGES as readonly string[]).includes(name);

/** Reads the path and query of a location. Never throws: an unknown path has no page. */
export function readAddress(pathname: string, search: string): Address {
  const query = new URLSearchParams(search);
  const [first = '', second, ...more] = pathname.split('/').filter((part) => part !== '');
  const name = first === '' ? HOME : first;
  const mayHaveId = name === 'recordings' || name === 'frames' || (name === 'mission' && SHEETS.includes(second ?? ''));
  if (!isPage(name) || more.length > 0 || (second !== undefined && !mayHaveId)) return { page: null, id: null, query };
  try {
    return { page: name, id: second === undefined ? null : decodeURIComponent(second), query };
  } catch {
    return { page: null, id: null, query };
  }
}

/** The address of a page, for links. Keys without a value are left out; lists become repeated keys. */
export function addressOf(page: Page, id: string | null = null, query: Query = {}): string {
  const path = `${LEAD}/${page === HOME && id === null ? '' : page}${id === null ? '' : `/${encodeURIComponent(id)}`}`;
  const text = queryText(query);
  return text === '' ? path : `${path}?${text}`;
}

/** A query string without its question mark. */
export function queryText(query: Query): string {
  const out = new URLSearchParams();
  for (const [key, value] of Object.entries(query)) {
    if (value === null || value === undefined || value === '') continue;
    if (typeof value === 'string' || typeof value === 'number') out.set(key, String(value));
    else for (const one of value) out.append(key, one);
  }
  return out.toString();
}
