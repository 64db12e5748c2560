import { hrefOf } from '../../shell/missions.ts';
import { Empty } from '../../shell/notices.tsx';

/** `page` when nothing else stands on the page. */
export function NothingHeard({ page = false }: { readonly page?: boolean }) {
  return (
    <Empty page={page} title="No reading yet">
      <p>
        Battery, temperatures and solar current will stand here, each with its age, its limits and how far it can be
        trusted. One recording of a pass is enough, from any receiver that heard the beacon.
      </p>
      <p class="row">
        <a class="button primary" href={hrefOf('recordings')}>
          Send a recording
        </a>
        <a class="button" href={hrefOf('frames')}>
          Type a line you read
        </a>
      </p>
    </Empty>
  );
}
