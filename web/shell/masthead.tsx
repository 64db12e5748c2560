import { addressOf, HOME, OPEN_PAGES, type Page } from '../address/address.ts';
import { address, go } from '../address/location.ts';
import { hrefOf, mission, missions } from './missions.ts';
import './masthead.css';

const LABELS: Readonly<Record<Page, string>> = {
  now: 'Now',
  trends: 'Trends',
  recordings: 'Recordings',
  listen: 'Listen',
  frames: 'Frames',
  mission: 'Mission',
};

function MissionChoice() {
  const all = missions.value ?? [];
  const current = mission.value;
  if (all.length < 2) return current === null ? null : <span class="which">{current.name}</span>;
  const choose = (id: string): void => {
    const { page, id: sheet } = address.peek();
    // one recording or frame belongs to its mission, a sheet is there for each
    go(addressOf(page ?? HOME, page === 'mission' ? sheet : null, { mission: id }));
  };
  return (
    <label class="which">
      <span class="only-heard">Satellite</span>
      <select value={current?.id ?? ''} onChange={(event) => choose(event.currentTarget.value)}>
        {current === null && <option value="">choose</option>}
        {all.map(({ id, name }) => (
          <option key={id} value={id}>
            {name}
          </option>
        ))}
      </select>
    </label>
  );
}

/** Name, satellite and the way to the pages: above on a desk, in reach of a thumb on a phone. */
export function Masthead() {
  const { page } = address.value;
  return (
    <div class="masthead">
      <div class="title">
        <a class="name" href={hrefOf(HOME)} aria-label={`Fiveunit, to ${LABELS[HOME]}`}>
          <svg viewBox="0 0 33 24" aria-hidden="true">
            <rect x="0.5" y="0.5" width="32" height="23" rx="1.5" />
            <path d="M7 8h.01M7 18h.01M16.5 4h.01M16.5 13.5h.01M16.5 20h.01M26 8h.01M26 18h.01" />
            <path class="feed" d="M7 11h.01M16.5 9h.01M26 11h.01" />
          </svg>
          Fiveunit
        </a>
        <MissionChoice />
      </div>
      <nav aria-label="Pages">
        <ul>
          {OPEN_PAGES.map((one) => (
            <li key={one}>
              <a href={hrefOf(one)} aria-current={page === one ? 'page' : undefined}>
                {LABELS[one]}
              </a>
            </li>
          ))}
        </ul>
      </nav>
    </div>
  );
}
