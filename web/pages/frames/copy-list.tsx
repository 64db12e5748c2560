import type { FrameDetail } from '../../../server/http/messages.ts';
import { TrustMark, UnvouchedMark } from '../../marks/trust-mark.tsx';
import { hrefOf } from '../../shell/missions.ts';
import { confidenceText, ebN0Text } from '../../words/number.ts';
import { positionText } from '../../words/time.ts';

type Copy = Extract<FrameDetail['origin'], { source: 'recording' }>['copies'][number];

const LEFT_OUT = {
  'same-noise': 'It bears the same noise as a clearer copy: one receiver, counted once.',
  unvouched: 'Nobody vouches for it; the others are enough without it.',
} as const;

/** The places where a frame was heard, each with what it gives by itself and why it may not count. */
export function CopyList({
  copies,
  text,
  frame,
}: {
  readonly copies: readonly Copy[];
  readonly text: string;
  readonly frame: string;
}) {
  return (
    <ol class="copies">
      {copies.map((copy) => (
        <li key={`${copy.recording} ${copy.startSeconds}`}>
          {copy.station} {!copy.vouched && <UnvouchedMark />}{' '}
          <a href={hrefOf('recordings', copy.recording, { frame })}>
            {copy.recording} at {positionText(copy.startSeconds)}
          </a>
          , {ebN0Text(copy.ebN0Db)}
          <p class="faint">
            <Alone copy={copy} text={text} />
          </p>
          {copy.use !== 'added' && <p class="faint">{LEFT_OUT[copy.use]}</p>}
        </li>
      ))}
    </ol>
  );
}

function Alone({ copy: { alone }, text }: { readonly copy: Copy; readonly text: string }) {
  if (alone === null) return <>Nothing could be read in it alone.</>;
  return (
    <>
      Alone: <TrustMark trust={alone.trust} />, {confidenceText(alone.confidence)} sure
      {alone.text !== text && (
        <>
          {' '}
          of <code>{alone.text}</code>
        </>
      )}
    </>
  );
}
