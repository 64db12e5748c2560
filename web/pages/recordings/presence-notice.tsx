import type { RecordingPresence } from '../../../server/http/messages.ts';
import { Fact, Facts } from '../../shell/facts.tsx';
import { missionName } from '../../shell/missions.ts';
import { countText, ebN0Text, numberText } from '../../words/number.ts';
import { falseAlarmText } from '../../words/presence.ts';
import { positionText } from '../../words/time.ts';

/** A beacon that was heard at its interval but could not be read: what is known of it, how surely, and what is not. */
export function PresenceNotice({ presence }: { readonly presence: RecordingPresence }) {
  const { mission, version, markHz, spaceHz, ebN0Db, transmissions, intervalSeconds } = presence;
  return (
    <section class="notice">
      <h2>Beacon of {missionName(mission)} present, not readable</h2>
      <p>
        {countText(transmissions, 'transmission')} keyed like its own came every {numberText(intervalSeconds, 1)} s, the
        first at {positionText(presence.firstSeconds)}, the last at {positionText(presence.lastSeconds)}. All were too
        faint to be read.
      </p>
      <Facts>
        <Fact name="Tones">
          mark {numberText(markHz, 0)} Hz, space {numberText(spaceHz, 0)} Hz
        </Fact>
        <Fact name="Level">{ebN0Text(ebN0Db)}, the mean of those made out</Fact>
        <Fact name="False alarms">{falseAlarmText(presence.falseAlarmProbability)}</Fact>
        <Fact name="Definition">
          <a href={`/api/missions/${encodeURIComponent(mission)}?version=${version}`}>version {version}</a>
        </Fact>
      </Facts>
      <p class="faint">
        So near the limit another sender with the same keying, tones, interval and similar text is taken for it.
      </p>
    </section>
  );
}
