import { TrustMark, UnvouchedMark } from '../../marks/trust-mark.tsx';

/** What the marks beside the readings mean. */
export function TrustLegend() {
  return (
    <dl class="legend small">
      <div>
        <dt>
          <TrustMark trust="confirmed" />
        </dt>
        <dd>a checksum or a second station agrees with the text</dd>
      </div>
      <div>
        <dt>
          <TrustMark trust="probable" />
        </dt>
        <dd>read with little doubt, but nothing else agrees yet</dd>
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
        <dd>sent by somebody without a key; alone it raises no alarm</dd>
      </div>
    </dl>
  );
}
