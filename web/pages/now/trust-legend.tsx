import { TrustMark, UnvouchedMark } from '../../marks/trust-mark.tsx';

/** What the marks beside the readings mean. */
export function TrustLegend() {
  return (
    <dl class="legend small">
      <div>
        <dt>
          <TrustMark trust="confirmed" />
        </dt>
        <dd>a checksum or a second station bears the text out</dd>
      </div>
      <div>
        <dt>
          <TrustMark trust="probable" />
        </dt>
        <dd>read with little doubt, nothing else bears it out</dd>
      </div>
      <div>
        <dt>
          <TrustMark trust="doubtful" />
        </dt>
        <dd>may be wrong; kept out of trends and limits</dd>
      </div>
      <div>
        <dt>
          <UnvouchedMark />
        </dt>
        <dd>sent by nobody known; raises no alarm alone</dd>
      </div>
    </dl>
  );
}
