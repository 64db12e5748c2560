import type { Mission } from '../../../decoders/mission/types.ts';
import { addressOf, type Page } from '../../address/address.ts';
import { missions } from '../../shell/missions.ts';
import { usePublicAddress } from '../../shell/public-address.ts';

interface Way {
  readonly page: Page;
  readonly name: string;
  readonly what: string;
}

const WAYS: readonly Way[] = [
  { page: 'recordings', name: 'Recordings', what: 'a recording of the pass, as your phone or recorder wrote it' },
  { page: 'frames', name: 'Frames', what: 'a line that you read yourself' },
];

/** Where to hand over what was heard; the addresses are short enough to be typed from paper. */
export function WhereToSend({ mission }: { readonly mission: Mission }) {
  const { host } = new URL(usePublicAddress());
  const several = (missions.value ?? []).length > 1;
  const query = { mission: several ? mission.id : null };
  const shown = (href: string): string => `${host}${href}`;
  return (
    <section class="stack">
      <h2>Where to send it</h2>
      <dl class="ways">
        {WAYS.map(({ page, name, what }) => (
          <div key={page}>
            <dt>
              <a href={addressOf(page, null, query)}>{name}</a>
            </dt>
            <dd>
              {what}
              <code>{shown(addressOf(page, null, query))}</code>
            </dd>
          </div>
        ))}
      </dl>
      <p>
        Give your call sign or a name for your station, and when the recording began, in UTC. This sheet is at{' '}
        <code>{shown(addressOf('mission', 'hear', query))}</code>
      </p>
    </section>
  );
}
