import type { BurstCarrier } from '../../../server/http/messages.ts';
import { Scroll } from '../../shell/scroll.tsx';
import { useWidth } from '../../shell/use-width.ts';
import { offsetText, onAirText } from '../../words/band.ts';
import { numberText, valueText } from '../../words/number.ts';
import { positionText } from '../../words/time.ts';
import './carrier-view.css';

const HEIGHT = 132;
const ROOM = { left: 86, right: 8, top: 8, bottom: 24 };
/** A steady carrier is not blown up to fill the picture, Hz. */
const LEAST_SPAN_HZ = 4;

/** The carrier of a burst from a complex band against time: in words, drawn, and as a table. */
export function CarrierView({ carrier }: { readonly carrier: BurstCarrier }) {
  const { source, modulation, seconds, carrierHz, absoluteHz, driftHzPerSecond, uncertaintyHz, track } = carrier;
  const where = absoluteHz === null ? offsetText(carrierHz) : `${onAirText(absoluteHz)} (${offsetText(carrierHz)})`;
  return (
    <section class="carrier stack" aria-label="Carrier">
      <p>
        {modulation === 'fm' ? 'Tones on an FM carrier' : 'The carrier itself is keyed'}: {where} from the middle of the
        band at {positionText(seconds)}, drifting {valueText(driftHzPerSecond, 'Hz/s', 1)}.{' '}
        <span class="faint">
          Known to {valueText(uncertaintyHz, 'Hz', 2)} (standard deviation) as far as noise goes; the receiver’s
          reference is not in that.{source === 'sender' && ' Measured in the band by its sender, whose word it is.'}
        </span>
      </p>
      {track.length > 1 && <Track track={track} />}
      {track.length > 0 && (
        <details class="unprinted">
          <summary>Carrier against time as a table</summary>
          <Scroll name="Carrier against time">
            <table>
              <thead>
                <tr>
                  <th scope="col">Time, s</th>
                  {absoluteHz !== null && <th scope="col">On the air, MHz</th>}
                  <th scope="col">From the middle, Hz</th>
                  <th scope="col">Standard deviation, Hz</th>
                </tr>
              </thead>
              <tbody>
                {track.map((point) => (
                  <tr key={point.seconds}>
                    <td>{numberText(point.seconds, 2)}</td>
                    {absoluteHz !== null && <td>{numberText((absoluteHz - carrierHz + point.carrierHz) / 1e6, 6)}</td>}
                    <td>{numberText(point.carrierHz, 2)}</td>
                    <td>{numberText(point.uncertaintyHz, 2)}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </Scroll>
        </details>
      )}
    </section>
  );
}

/** Points with a bar of two standard deviations to either side. */
function Track({ track }: Pick<BurstCarrier, 'track'>) {
  const { ref, width } = useWidth();
  const least = Math.min(...track.map(({ carrierHz, uncertaintyHz }) => carrierHz - 2 * uncertaintyHz));
  const most = Math.max(...track.map(({ carrierHz, uncertaintyHz }) => carrierHz + 2 * uncertaintyHz));
  const span = Math.max(LEAST_SPAN_HZ, most - least);
  const low = (least + most - span) / 2;
  const [first, last] = [track[0].seconds, track[track.length - 1].seconds];
  const x = (seconds: number): number =>
    ROOM.left + 6 + ((seconds - first) / (last - first)) * (width - ROOM.left - ROOM.right - 12);
  const y = (hz: number): number =>
    HEIGHT - ROOM.bottom - 6 - ((hz - low) / span) * (HEIGHT - ROOM.top - ROOM.bottom - 12);
  const bottom = HEIGHT - ROOM.bottom;
  return (
    <div ref={ref}>
      <svg width={width} height={HEIGHT} aria-hidden="true">
        <path class="axis" d={`M${ROOM.left} ${ROOM.top}V${bottom}H${width - ROOM.right}`} />
        {[low, low + span].map((hz) => (
          <text key={hz} x={ROOM.left - 6} y={y(hz) + 4} text-anchor="end">
            {offsetText(hz)}
          </text>
        ))}
        {[first, last].map((seconds, i) => (
          <text key={seconds} x={x(seconds)} y={HEIGHT - 6} text-anchor={i === 0 ? 'start' : 'end'}>
            {positionText(seconds)}
          </text>
        ))}
        {track.map(({ seconds, carrierHz, uncertaintyHz }) => (
          <g key={seconds}>
            <path
              class="bar"
              d={`M${x(seconds).toFixed(1)} ${y(carrierHz - 2 * uncertaintyHz).toFixed(1)}V${y(carrierHz + 2 * uncertaintyHz).toFixed(1)}`}
            />
            <circle cx={x(seconds)} cy={y(carrierHz)} r={2.5} />
          </g>
        ))}
      </svg>
    </div>
  );
}
