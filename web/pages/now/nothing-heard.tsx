import { hrefOf } from '../../shell/missions.ts';
import { Empty } from '../../shell/notices.tsx';

export function NothingHeard() {
  return (
    <Empty title="No reading yet">
      <p>
        Battery, temperatures and solar current will stand here, each with its age, its limits and how far it can be
        trusted. One recording of a pass is enough, from any receiver that heard the beacon.
      </p>
      <p class="row">
        <a class="button primary" href={hrefOf('recordings')}>
          Give a recording
        </a>
        <a class="button" href={hrefOf('frames')}>
          Type a line you read
        </a>
      </p>
    </Empty>
  );
}
