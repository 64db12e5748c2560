import { useMemo } from 'preact/hooks';
import type { Mission } from '../../../decoders/mission/types.ts';
import { getDefinition } from '../../api/definition.ts';
import { touchesMission, useNews } from '../../api/use-news.ts';
import { useResource } from '../../api/use-resource.ts';
import { Fact, Facts } from '../../shell/facts.tsx';
import { hrefOf } from '../../shell/missions.ts';
import { Loading, ProblemNotice } from '../../shell/notices.tsx';
import { useLineReading } from '../frames/use-line-reading.ts';
import { estimateDoppler } from './doppler.ts';
import { lineParts } from './line-parts.ts';
import { Practice } from './practice.tsx';
import {
  alsoTexts,
  dopplerFormula,
  megahertzText,
  oftenText,
  receiverText,
  shiftText,
  speedText,
  tonesText,
} from './receiver-words.ts';
import { beaconSound, sampleText } from './sample.ts';
import { SoundPlayer } from './sound-player.tsx';
import { WhereToSend } from './where-to-send.tsx';
import './hear.css';

function Tuning({ mission, burstSeconds }: { readonly mission: Mission; readonly burstSeconds: number }) {
  const { beacon } = mission;
  const { downlinkHz } = beacon;
  const doppler = downlinkHz === undefined ? null : estimateDoppler(downlinkHz);
  const also = alsoTexts(beacon);
  return (
    <section class="stack">
      <h2>Set the receiver</h2>
      <Facts>
        <Fact name="Frequency">
          {downlinkHz === undefined ? 'the mission does not say' : <strong>{megahertzText(downlinkHz)}</strong>}
        </Fact>
        {downlinkHz !== undefined && doppler !== null && (
          <Fact name="Doppler">
            up to {shiftText(doppler.mostHz)} above when it rises, none when it is highest in the sky, as far below when
            it sets; it falls fastest overhead, by {shiftText(doppler.steepestHzPerSecond)} a second.{' '}
            <span class="small faint">
              An estimate for an orbit 500 km up: {dopplerFormula(downlinkHz, doppler)}. A low pass has less.
            </span>
          </Fact>
        )}
        <Fact name="Receiver">{receiverText(beacon)}</Fact>
        <Fact name="Tones">{tonesText(beacon)}</Fact>
        <Fact name="Speed">{speedText(beacon)}</Fact>
        <Fact name="How often">{oftenText(beacon, burstSeconds)}</Fact>
        {also.map((text) => (
          <Fact key={text} name="Or else">
            {text}
          </Fact>
        ))}
      </Facts>
    </section>
  );
}

function SampleLine({ mission, text }: { readonly mission: Mission; readonly text: string }) {
  const { reading, problem } = useLineReading(mission, text);
  const [first] = reading?.frames ?? [];
  return (
    <>
      <code class="frame-text">{text}</code>
      {problem !== null && <ProblemNotice problem={problem} doing="The line could not be explained" />}
      {first !== undefined && (
        <dl class="line-parts" aria-label="The parts of the line">
          {lineParts(mission, first).map(({ text: part, meaning }, i) => (
            <div key={i}>
              <dt>
                <code>{part}</code>
              </dt>
              <dd>{meaning}</dd>
            </div>
          ))}
        </dl>
      )}
    </>
  );
}

function Sheet({ mission }: { readonly mission: Mission }) {
  const text = sampleText(mission);
  const { wav, seconds } = useMemo(() => beaconSound(mission.beacon, text), [mission, text]);
  return (
    <div class="hear">
      <section class="stack head">
        <h1>
          How to hear {mission.name} <span class="faint call-sign">{mission.callSign}</span>
        </h1>
        <p class="prose">
          Its beacon is slow teletype: two tones that warble for some seconds. Record a pass as it comes, even with a
          telephone beside the loudspeaker; nothing needs to be set or decoded. Every burst counts, even a faint one.
        </p>
        <p class="row unprinted">
          <button type="button" onClick={() => window.print()}>
            Print this sheet
          </button>
          <a href={hrefOf('mission')}>All that it sends</a>
        </p>
      </section>
      <Tuning mission={mission} burstSeconds={seconds} />
      <section class="stack sounds">
        <h2>What it sounds like</h2>
        <p>
          The line below as the beacon keys it, without any noise
          {mission.beacon.modulation === 'fsk' ? ', through a receiver for SSB' : ''}. It is made by this page, not
          received.
        </p>
        <SoundPlayer wav={wav} seconds={seconds} fileName={`${mission.id}-sample.wav`} />
      </section>
      <section class="stack">
        <h2>What it says</h2>
        <SampleLine mission={mission} text={text} />
      </section>
      <WhereToSend mission={mission} />
      <section class="stack unprinted">
        <h2>Practise</h2>
        <Practice mission={mission} />
      </section>
      <section class="stack">
        <h2>Take care</h2>
        <p>
          Receiving needs no licence in most countries; transmitting does, so never answer the satellite and never put
          the sample on the air. A recording holds the room and whoever speaks in it: whole recordings are seen by you
          and the mission’s team only, others get the bursts. Keep an aerial well away from power lines, and never watch
          a receiver or a screen while you drive or walk by a road.
        </p>
      </section>
    </div>
  );
}

/** How a mission is heard, from its definition alone, on one sheet to print. */
export default function HearPage({ mission: id }: { readonly mission: string }) {
  const definition = useResource(`definition ${id}`, (signal) => getDefinition(id, null, signal));
  useNews((note) => note.type === 'mission' && touchesMission(note, id), definition.reload);
  const { value, problem, reload } = definition;
  if (value !== null) return <Sheet mission={value} />;
  return problem === null ? (
    <Loading what="the definition" />
  ) : (
    <ProblemNotice page problem={problem} doing="The sheet could not be made" onRetry={reload} />
  );
}
