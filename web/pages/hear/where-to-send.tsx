import type { Mission } from '../../../decoders/mission/types.ts';
import { type Page, queryText } from '../../address/address.ts';
import { missions } from '../../shell/missions.ts';
import { usePublicAddress } from '../../shell/public-address.ts';

interface Way {
  readonly page: Page;
  readonly name: string;
  readonly what: string;
}

const WAYS: readonly Way[] = [
  { page: 'recordings', name: 'Recordings', what: 'a recording of the pass, as your phone or recorder wrote it' },
  { page: 'listen', name: 'Listen', what: 'a receiver beside this device, or on its line input, read as it is heard' },
  { page: 'frames', name: 'Frames', what: 'a line that you read yourself' },
];

function ToServer({ mission, server }: { readonly mission: Mission; readonly server: string }) {
  const several = (missions.value ?? []).length > 1;
  const query = queryText({ mission: several ? mission.id : null });
  const path = (page: string): string => `/${page}${query === '' ? '' : `?${query}`}`;
  const { host } = new URL(server);
  return (
    <>
      <dl class="ways">
        {WAYS.map(({ page, name, what }) => (
          <div key={page}>
            <dt>
              <a href={`${server}${path(page)}`}>{name}</a>
            </dt>
            <dd>
              {what}
              <code>{`${host}${path(page)}`}</code>
            </dd>
          </div>
        ))}
      </dl>
      <p>
        Give your call sign or a name for your station, and when the recording began, in UTC. This sheet is at{' '}
        <code>{`${host}${path('mission/hear')}`}</code>
      </p>
    </>
  );
}

/** Where to hand over what was heard; the addresses are short enough to be typed from paper. */
export function WhereToSend({ mission }: { readonly mission: Mission }) {
  const server = usePublicAddress();
  return (
    <section class="stack">
      <h2>Where to send it</h2>
      {server === null ? (
        <p>These pages have no server. Keep what you heard, and ask {mission.name}’s team where it goes.</p>
      ) : (
        <ToServer mission={mission} server={server} />
      )}
    </section>
  );
}
